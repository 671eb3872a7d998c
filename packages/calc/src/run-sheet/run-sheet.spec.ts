import { describe, expect, it } from '@jest/globals';
import { runSheet } from './run-sheet.ts';
import type { RunSheetResult } from './run-sheet.ts';
import { verifyRunSheet } from './verify-run-sheet.ts';

/** A sauce that simmers, meatballs in two trays, pastries from the same sauce: two people, two hobs, one oven. */
const day = {
  people: 2,
  hobs: 2,
  ovens: 1,
  pots: [
    { id: 'big pot', litres: '12' },
    { id: 'small pot', litres: '5' },
  ],
  steps: [
    { id: 'chop', active: 30 },
    { id: 'sauce', active: 15, passive: 60, hobs: 1, potLitres: '10', after: ['chop'] },
    { id: 'roll meatballs', active: 40 },
    { id: 'bake meatballs', active: 5, passive: 25, ovens: 1, after: ['roll meatballs'] },
    { id: 'dough', active: 20, passive: 45 },
    { id: 'fill pastries', active: 30, people: 2, after: ['dough', 'sauce'] },
    { id: 'bake pastries', active: 5, passive: 30, ovens: 1, after: ['fill pastries'] },
  ],
};

describe('runSheet', () => {
  it('finds the least time by hand: chopping, sauce, filling and baking one after another', () => {
    const result = runSheet(day);
    // 30 + 75 + 30 + 35: the longest chain, and everything else fits beside it.
    expect([result.minutes, result.proof, result.atLeast]).toEqual([170, 'optimal', undefined]);
    expect(verifyRunSheet(day, result)).toEqual([]);
    expect(result.steps.find(({ id }) => id === 'sauce')).toMatchObject({
      ...{ start: 30, handsOff: 45, end: 105 },
      pot: 'big pot',
    });
  });

  it('takes all of the hands one after another when there is one person', () => {
    const steps = [
      { id: 'a', active: 10, passive: 30 },
      { id: 'b', active: 20, passive: 5 },
      { id: 'c', active: 30 },
    ];
    // Hands are bound for 60 minutes; beginning with what then goes on by itself costs nothing more.
    expect(runSheet({ people: 1, steps }).minutes).toBe(60);
    expect(runSheet({ people: 3, steps }).minutes).toBe(40);
  });

  it('has pots of enough size only: a small pot is no help for a large sauce', () => {
    const step = (id: string, potLitres: string) => ({ id, active: 5, passive: 55, potLitres });
    const pots = [
      { id: 'p1', litres: '12' },
      { id: 'p2', litres: '5' },
    ];
    expect(runSheet({ people: 2, pots, steps: [step('a', '10'), step('b', '10')] }).minutes).toBe(120);
    const mixed = runSheet({ people: 2, pots, steps: [step('a', '10'), step('b', '4')] });
    expect(mixed.minutes).toBe(60);
    expect(mixed.steps.map(({ id, pot }) => [id, pot])).toEqual([
      ['a', 'p1'],
      ['b', 'p2'],
    ]);
  });

  it('counts leads back: 24 hours for each 5 lb that thaws in the refrigerator', () => {
    // USDA FSIS, as extension services print it: at least 24 hours for 5 lb (2.27 kg).
    const thaw = (quantity: string, unit: string) => ({ quantity, unit });
    const result = runSheet({
      ...day,
      startsAt: '2026-11-28T08:00:00Z',
      leads: [
        { id: 'five pounds', thaw: thaw('5', 'lb') },
        { id: 'just that', thaw: thaw('2.27', 'kg') },
        { id: 'a little more', thaw: thaw('2271', 'g') },
        { id: 'a little', thaw: thaw('100', 'g') },
        { id: 'soak', minutes: 600, before: 'sauce' },
      ],
    });
    const starts = Object.fromEntries(result.leads.map(({ id, start, startsAt }) => [id, [start, startsAt]]));
    expect(starts).toEqual({
      'a little': [-1440, '2026-11-27T08:00:00.000Z'],
      'a little more': [-2880, '2026-11-26T08:00:00.000Z'],
      'five pounds': [-1440, '2026-11-27T08:00:00.000Z'],
      'just that': [-1440, '2026-11-27T08:00:00.000Z'],
      soak: [-570, '2026-11-27T22:30:00.000Z'],
    });
    expect(result.endsAt).toBe('2026-11-28T10:50:00.000Z');
    expect(
      verifyRunSheet({ ...day, startsAt: '2026-11-28T08:00:00Z', leads: [{ id: 'x', minutes: 5 }] }, result).map(
        ({ code }) => code,
      ),
    ).toEqual(['lead', 'lead']);
  });

  it('begins in time to be ready', () => {
    const result = runSheet({ ...day, readyBy: '2026-11-28T12:00:00Z' });
    expect([result.startsAt, result.endsAt]).toEqual(['2026-11-28T09:10:00.000Z', '2026-11-28T12:00:00.000Z']);
  });

  it('is empty without steps', () => {
    expect(runSheet({ people: 1, steps: [] })).toEqual({ proof: 'optimal', minutes: 0, steps: [], leads: [] });
  });

  it('says bounded with a bound where the search ends early, and the same again', () => {
    // Twelve chains of four uneven steps for three people, two pots and one oven.
    const steps = Array.from({ length: 48 }, (_, i) => ({
      id: `s${i}`,
      active: 10 + ((i * 37) % 23),
      people: i % 4 === 3 ? 1 + (i % 2) : 1,
      ovens: i % 4 === 2 ? 1 : 0,
      ...(i % 4 === 1 ? { passive: (i * 53) % 71, potLitres: String(4 + (i % 5)) } : {}),
      after: i % 4 === 0 ? [] : [`s${i - 1}`],
    }));
    const pots = [
      { id: 'p1', litres: '6' },
      { id: 'p2', litres: '8' },
    ];
    const sheet = { people: 3, ovens: 1, pots, steps };
    const result = runSheet(sheet);
    expect(verifyRunSheet(sheet, result)).toEqual([]);
    expect(result.proof).toBe('bounded');
    expect(result.atLeast).toBeLessThan(result.minutes);
    expect(runSheet({ ...sheet, steps: [...steps].reverse() })).toEqual(result);
  });
});

describe('the verifier of run sheets', () => {
  const result = runSheet(day);
  const changed = (id: string, change: object): RunSheetResult => ({
    ...result,
    steps: result.steps.map((step) => (step.id === id ? { ...step, ...change } : step)),
  });
  const times = (start: number, active: number, passive: number) => ({
    ...{ start, handsOff: start + active, end: start + active + passive },
  });

  it.each([
    ['a step earlier than what it waits for', changed('sauce', times(29, 15, 60)), 'order'],
    ['a step cut short', changed('sauce', { end: 100 }), 'times'],
    ['a step before the day', changed('chop', times(-1, 30, 0)), 'times'],
    ['a pot that is too small', changed('sauce', { pot: 'small pot' }), 'pot'],
    ['no pot', changed('sauce', { pot: undefined }), 'pot'],
    ['one pair of hands where two are needed', changed('fill pastries', { people: [1] }), 'numbers'],
    ['the same hands twice', changed('fill pastries', { people: [1, 1] }), 'numbers'],
    ['a third person', changed('chop', { people: [3] }), 'numbers'],
    ['hands that are elsewhere', changed('chop', { people: [1, 2].filter((n) => !isAt(n)) }), 'taken-twice'],
    ['an oven that is in use', changed('bake pastries', times(65, 5, 30)), 'taken-twice'],
    ['a step left out', { ...result, steps: result.steps.slice(1) }, 'steps-missing'],
    ['a step twice', { ...result, steps: [...result.steps, ...result.steps.slice(0, 1)] }, 'steps-missing'],
    ['another length', { ...result, minutes: 169 }, 'length'],
    ['a bound on what is said to be the least', { ...result, atLeast: 160 }, 'bound'],
    ['a bound that is reached', { ...result, proof: 'bounded' as const, atLeast: 170 }, 'bound'],
    ['a lead that nobody asked for', { ...result, leads: [{ id: 'x', start: -5, end: 0 }] }, 'lead'],
  ])('refuses %s', (_what, wrong, code) => {
    expect(verifyRunSheet(day, wrong).map((violation) => violation.code)).toContain(code);
  });

  /** Whether a person chops in the result. */
  function isAt(number: number): boolean {
    return result.steps.find(({ id }) => id === 'chop')?.people.includes(number) ?? false;
  }
});

describe('a run sheet that cannot be', () => {
  const step = { id: 'a', active: 10 };
  const sheet = { people: 1, hobs: 1, ovens: 0, pots: [{ id: 'p', litres: '5' }], steps: [step] };
  it.each([
    [{ ...sheet, people: 0 }, 'invalid-input', '#/people'],
    [{ ...sheet, people: '1' }, 'invalid-input', '#/people'],
    [{ ...sheet, steps: [{ ...step, active: -1 }] }, 'invalid-input', '#/steps/0/active'],
    [{ ...sheet, steps: [{ ...step, active: 0 }] }, 'invalid-input', '#/steps/0/active'],
    [{ ...sheet, steps: [{ ...step, active: 1.5 }] }, 'invalid-input', '#/steps/0/active'],
    [{ ...sheet, steps: [{ ...step, people: 2 }] }, 'invalid-input', '#/steps/0/people'],
    [{ ...sheet, steps: [{ ...step, hobs: 2 }] }, 'invalid-input', '#/steps/0/hobs'],
    [{ ...sheet, steps: [{ ...step, ovens: 1 }] }, 'invalid-input', '#/steps/0/ovens'],
    [{ ...sheet, steps: [{ ...step, potLitres: '5.01' }] }, 'invalid-input', '#/steps/0/potLitres'],
    [{ ...sheet, steps: [{ ...step, potLitres: 'NaN' }] }, 'invalid-input', '#/steps/0/potLitres'],
    [{ ...sheet, steps: [{ ...step, after: ['b'] }] }, 'invalid-input', '#/steps/0/after/0'],
    [{ ...sheet, steps: [{ ...step, after: ['a'] }] }, 'invalid-input', '#/steps/0/after'],
    [{ ...sheet, steps: [step, step] }, 'duplicate-id', '#/steps/1/id'],
    [{ ...sheet, pots: [...sheet.pots, ...sheet.pots] }, 'duplicate-id', '#/pots/1/id'],
    [{ ...sheet, leads: [{ id: 'x' }] }, 'invalid-input', '#/leads/0'],
    [{ ...sheet, leads: [{ id: 'x', minutes: 5, before: 'b' }] }, 'invalid-input', '#/leads/0/before'],
    [{ ...sheet, leads: [{ id: 'x', thaw: { quantity: '1', unit: 'stone' } }] }, 'unknown-unit', '#/leads/0/thaw/unit'],
    [
      { ...sheet, leads: [{ id: 'x', thaw: { quantity: '1', unit: 'L' } }] },
      'units-incompatible',
      '#/leads/0/thaw/unit',
    ],
    [
      { ...sheet, leads: [{ id: 'x', thaw: { quantity: '31', unit: 'kg' } }] },
      'invalid-input',
      '#/leads/0/thaw/quantity',
    ],
    [{ ...sheet, startsAt: '2026-11-28T08:00:00Z', readyBy: '2026-11-28T08:00:00Z' }, 'invalid-input', '#/readyBy'],
    [{ ...sheet, startsAt: '2026-11-28' }, 'invalid-input', '#/startsAt'],
  ])('is refused: %j', (input, code, pointer) => {
    expect(() => runSheet(input)).toThrow(
      expect.objectContaining({ code, errors: [expect.objectContaining({ pointer })] }),
    );
  });

  it('names the circle of steps', () => {
    const steps = ['a', 'b', 'c'].map((id, i) => ({ id, active: 5, after: [['b', 'c', 'a'][i] ?? ''] }));
    expect(() => runSheet({ people: 1, steps })).toThrow(/a > b > c > a/);
  });
});
