import { describe, expect, it } from '@jest/globals';
import { format } from '../rational.ts';
import { requireSealed, requireUndoable } from './container-end.ts';
import { stockTotal } from './stock-total.ts';

describe('the end of a container', () => {
  it('happens once', () => {
    expect(() => requireSealed('sealed')).not.toThrow();
    expect(() => requireSealed('eaten')).toThrow(
      expect.objectContaining({ code: 'container-not-free', params: { state: 'eaten' } }),
    );
  });

  it.each([
    ['eaten', '2026-12-01', '2026-12-01', true],
    ['lost', '2026-12-01', '2026-12-01', true],
    ['eaten', '2026-11-30', '2026-12-01', false],
    ['recalled', '2026-12-01', '2026-12-01', false],
    ['sealed', null, '2026-12-01', false],
  ] as const)('is taken back only on its own day: %s on %s, seen on %s', (state, endedOn, today, may) => {
    const undo = () => requireUndoable(state, endedOn, today);
    if (may) expect(undo).not.toThrow();
    else expect(undo).toThrow(expect.objectContaining({ code: 'conflict' }));
  });
});

describe('the total of a freezer', () => {
  it('adds litres of what is sealed, and portions by what became of them', () => {
    const total = stockTotal([
      { state: 'sealed', portions: 4, millilitres: 1250 },
      { state: 'sealed', portions: 3, millilitres: null },
      { state: 'eaten', portions: 6, millilitres: 2000 },
      { state: 'thrown-away', portions: 2, millilitres: 500 },
      { state: 'lost', portions: 5, millilitres: 500 },
    ]);
    expect({ ...total, litres: format(total.litres) }).toEqual({
      litres: '5/4',
      portionsSealed: 7,
      portionsEaten: 6,
      portionsThrownAway: 2,
    });
  });
});
