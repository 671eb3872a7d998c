import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { runSheet } from './run-sheet.ts';
import { verifyRunSheet } from './verify-run-sheet.ts';

interface Step {
  id: string;
  active: number;
  passive: number;
  people: number;
  hobs: number;
  ovens: number;
  potLitres?: string;
  after: string[];
}
interface Sheet {
  people: number;
  hobs: number;
  ovens: number;
  pots: { id: string; litres: string }[];
  steps: Step[];
}

/** Small kitchens in which everything is scarce; steps wait only for steps with a smaller number, whose ids are not in that order. */
const sheets = (most: number, longest: number): fc.Arbitrary<Sheet> =>
  fc
    .record({
      people: fc.integer({ min: 1, max: 2 }),
      hobs: fc.integer({ min: 1, max: 2 }),
      ovens: fc.integer({ min: 0, max: 1 }),
      pots: fc.array(fc.constantFrom('3', '5', '8'), { minLength: 1, maxLength: 3 }),
      steps: fc.array(
        fc.record({
          active: fc.nat(longest),
          passive: fc.nat(longest),
          people: fc.integer({ min: 1, max: 2 }),
          hobs: fc.nat(2),
          ovens: fc.nat(1),
          pot: fc.option(fc.constantFrom('2', '4', '8')),
          after: fc.array(fc.nat(most), { maxLength: 2 }),
        }),
        { minLength: 1, maxLength: most },
      ),
    })
    .map(({ people, hobs, ovens, pots, steps }) => {
      const id = (index: number): string => `s${(index * 7) % 11} ${index}`;
      const largest = Math.max(...pots.map(Number));
      return {
        ...{ people, hobs, ovens },
        pots: pots.map((litres, index) => ({ id: `p${index}`, litres })),
        steps: steps.map(({ pot, ...step }, index) => ({
          id: id(index),
          active: step.active + step.passive === 0 ? 1 : step.active,
          passive: step.passive,
          people: Math.min(people, step.people),
          hobs: Math.min(hobs, step.hobs),
          ovens: Math.min(ovens, step.ovens),
          ...(pot && Number(pot) <= largest ? { potLitres: pot } : {}),
          after: step.after.filter((earlier) => earlier < index).map(id),
        })),
      };
    });

/** Whether any day of this length works, by trying every start of every step and every pot and counting minute by minute. */
function anyDayOf(length: number, sheet: Sheet): boolean {
  const limits: Record<string, number> = { people: sheet.people, hobs: sheet.hobs, ovens: sheet.ovens };
  for (const { id } of sheet.pots) limits[id] = 1;
  const used: Record<string, number[]> = Object.fromEntries(
    Object.keys(limits).map((what) => [what, Array.from({ length }, () => 0)]),
  );
  const ends = new Map<string, number>();
  const hold = (what: string, count: number, from: number, until: number, change: 1 | -1): boolean => {
    const minutes = used[what] ?? [];
    let fits = true;
    for (let minute = from; count > 0 && minute < until; minute++) {
      minutes[minute] = (minutes[minute] ?? 0) + change * count;
      if ((minutes[minute] ?? 0) > (limits[what] ?? 0)) fits = false;
    }
    return fits;
  };
  const put = (step: Step, start: number, pot: string | undefined, change: 1 | -1): boolean => {
    const end = start + step.active + step.passive;
    return [
      hold('people', step.people, start, start + step.active, change),
      hold('hobs', step.hobs, start, end, change),
      hold('ovens', step.ovens, start, end, change),
      pot === undefined || hold(pot, 1, start, end, change),
    ].every(Boolean);
  };
  const from = (index: number): boolean => {
    const step = sheet.steps[index];
    if (!step) return true;
    const pots = step.potLitres
      ? sheet.pots.filter(({ litres }) => Number(litres) >= Number(step.potLitres)).map(({ id }) => id)
      : [undefined];
    const ready = Math.max(0, ...step.after.map((id) => ends.get(id) ?? 0));
    for (let start = ready; start + step.active + step.passive <= length; start++) {
      for (const pot of pots) {
        const fits = put(step, start, pot, 1);
        ends.set(step.id, start + step.active + step.passive);
        if (fits && from(index + 1)) return true;
        put(step, start, pot, -1);
      }
    }
    return false;
  };
  return from(0);
}

describe('a run sheet, always', () => {
  it.each([
    [4, 3, 700],
    [5, 2, 300],
  ])('is the shortest, as trying every start of up to %i steps finds', (steps, longest, numRuns) => {
    fc.assert(
      fc.property(sheets(steps, longest), (sheet) => {
        const result = runSheet(sheet);
        expect(verifyRunSheet(sheet, result)).toEqual([]);
        expect(result.proof).toBe('optimal');
        expect(anyDayOf(result.minutes, sheet)).toBe(true);
        expect(anyDayOf(result.minutes - 1, sheet)).toBe(false);
      }),
      { numRuns },
    );
  });

  it('passes the verifier for larger days, and is never shorter than it says it must be', () => {
    fc.assert(
      fc.property(sheets(14, 60), (sheet) => {
        const result = runSheet(sheet);
        expect(verifyRunSheet(sheet, result)).toEqual([]);
        expect(result.minutes).toBeGreaterThanOrEqual(result.atLeast ?? 0);
      }),
      { numRuns: 60 },
    );
  });

  it('gives the same bytes in any order', () => {
    fc.assert(
      fc.property(sheets(7, 9), (sheet) => {
        const turned = {
          ...sheet,
          pots: [...sheet.pots].reverse(),
          steps: [...sheet.steps].reverse().map((step) => ({ ...step, after: [...step.after].reverse() })),
        };
        expect(canonicalJson(runSheet(turned))).toBe(canonicalJson(runSheet(sheet)));
      }),
      { numRuns: 200 },
    );
  });

  it('gets no longer with one person, hob or pot more, where both are proved', () => {
    fc.assert(
      fc.property(sheets(7, 9), (sheet) => {
        const base = runSheet(sheet);
        const more = runSheet({
          ...sheet,
          people: sheet.people + 1,
          hobs: sheet.hobs + 1,
          pots: [...sheet.pots, { id: 'one more', litres: '5' }],
        });
        if (base.proof === 'optimal' && more.proof === 'optimal')
          expect(more.minutes).toBeLessThanOrEqual(base.minutes);
      }),
      { numRuns: 200 },
    );
  });
});
