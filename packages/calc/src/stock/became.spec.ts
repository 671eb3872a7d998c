import { describe, expect, it } from '@jest/globals';
import { format, rational } from '../rational.ts';
import { becameBy, costPerEatenPortion, type EndedPortions } from './became.ts';

const ended = (round: string, state: EndedPortions['state'], portions: number) => ({ round, state, portions });

describe('what became of portions', () => {
  it('is added up by a key, the latest first', () => {
    const all = [
      ended('1', 'eaten', 4),
      ended('1', 'eaten', 2),
      ended('1', 'recalled', 3),
      ended('2', 'thrown-away', 4),
      ended('2', 'given-away', 1),
      ended('2', 'sealed', 9),
    ];
    expect(becameBy(all, ({ round }) => round)).toEqual([
      ['2', { eaten: 0, thrownAway: 4, givenAway: 1, lost: 0 }],
      ['1', { eaten: 6, thrownAway: 0, givenAway: 0, lost: 3 }],
    ]);
    expect(becameBy([], () => '')).toEqual([]);
  });

  it('costs what was thrown away as well', () => {
    const cost = costPerEatenPortion([
      { eaten: 6, thrownAway: 2, costPerPortionMinor: rational(150n) },
      { eaten: 2, thrownAway: 0, costPerPortionMinor: rational(401n, 2n) },
      { eaten: 0, thrownAway: 0, costPerPortionMinor: null },
    ]);
    // By hand: (8 x 150 + 2 x 200.5) / 8 portions.
    expect(format(cost!)).toBe('1601/8');
    expect(costPerEatenPortion([{ eaten: 0, thrownAway: 2, costPerPortionMinor: rational(1n) }])).toBeNull();
    expect(costPerEatenPortion([{ eaten: 1, thrownAway: 0, costPerPortionMinor: null }])).toBeNull();
  });
});
