import { dayModel, kitchenOf, readRunSheet } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

interface Step {
  id: string;
  active: number;
  passive: number;
  hobs: number;
  potLitres?: string;
  after: string[];
}
interface Day {
  people: number;
  hobs: number;
  pots: { id: string; litres: string }[];
  steps: Step[];
}

const days: fc.Arbitrary<Day> = fc
  .record({
    people: fc.integer({ min: 1, max: 2 }),
    hobs: fc.integer({ min: 1, max: 2 }),
    pots: fc.array(fc.constantFrom('3', '8'), { minLength: 1, maxLength: 2 }),
    steps: fc.array(
      fc.record({
        active: fc.integer({ min: 1, max: 2 }),
        passive: fc.nat(2),
        hobs: fc.nat(1),
        pot: fc.option(fc.constantFrom('2', '8')),
        after: fc.option(fc.nat(3)),
      }),
      { minLength: 1, maxLength: 4 },
    ),
  })
  .map(({ people, hobs, pots, steps }) => ({
    ...{ people, hobs },
    pots: pots.map((litres, i) => ({ id: `p${i}`, litres })),
    steps: steps.map(({ pot, after, ...step }, i) => ({
      ...step,
      id: `s${i}`,
      after: after !== null && after < i ? [`s${after}`] : [],
      ...(pot && pots.some((litres) => Number(litres) >= Number(pot)) ? { potLitres: pot } : {}),
    })),
  }));

interface Held {
  step: Step;
  start: number;
  pot: string | undefined;
}

/** Whether these steps, with these starts and pots, are a day: counted minute by minute. */
function isDay(day: Day, held: readonly Held[], length: number): boolean {
  const endOf = ({ step, start }: Held): number => start + step.active + step.passive;
  const ends = new Map(held.map((one) => [one.step.id, endOf(one)]));
  const inOrder = held.every(({ step, start }) => step.after.every((id) => (ends.get(id) ?? 0) <= start));
  return (
    inOrder &&
    Array.from({ length }, (_, minute) => minute).every((minute) => {
      const going = held.filter((one) => one.start <= minute && minute < endOf(one));
      const hands = going.filter(({ step, start }) => minute < start + step.active);
      const pots = going.flatMap(({ pot }) => pot ?? []);
      const hobs = going.reduce((sum, { step }) => sum + step.hobs, 0);
      return hands.length <= day.people && hobs <= day.hobs && new Set(pots).size === pots.length;
    })
  );
}

/** Whether there is a day of this length, by trying every start and every pot of every step. */
function anyDay(day: Day, length: number, held: readonly Held[] = []): boolean {
  const step = day.steps[held.length];
  if (!step) return isDay(day, held, length);
  const pots = step.potLitres
    ? day.pots.filter(({ litres }) => Number(litres) >= Number(step.potLitres)).map(({ id }) => id)
    : [undefined];
  for (let start = 0; start + step.active + step.passive <= length; start++) {
    for (const pot of pots) {
      const next = [...held, { step, start, pot }];
      if (isDay(day, next, length) && anyDay(day, length, next)) return true;
    }
  }
  return false;
}

describe('the integer program of a cook day', () => {
  it('is not written where it would have more variables than asked for', () => {
    fc.assert(
      fc.property(days, fc.integer({ min: 1, max: 9 }), (day, length) => {
        const kitchen = kitchenOf(readRunSheet(day));
        const asked = dayModel(kitchen, length);
        const count = typeof asked === 'string' ? 0 : asked.model.variables.length;
        expect(dayModel(kitchen, length, count)).toEqual(asked === 'none' ? 'none' : expect.any(Object));
        if (count > 0) expect(dayModel(kitchen, length, count - 1)).toBe('large');
      }),
    );
  });

  it('has a solution for just the lengths for which trying every start finds a day, and its solution is one', async () => {
    await fc.assert(
      fc.asyncProperty(days, fc.integer({ min: 1, max: 9 }), async (day, length) => {
        const kitchen = kitchenOf(readRunSheet(day));
        const asked = dayModel(kitchen, length);
        const result = typeof asked === 'string' ? undefined : await pool.solve(asked.model, { milliseconds: 300_000 });
        expect(result !== undefined && result.status !== 'infeasible').toBe(anyDay(day, length));
        if (typeof asked === 'string' || !result || result.status === 'infeasible') return;
        // Pots of one size are alike: those of the size that the way names are handed out in order of time.
        const placed = asked.dayOf(result.values);
        expect(placed).toHaveLength(day.steps.length);
        const sizes = [...new Set(day.pots.map(({ litres }) => Number(litres)))].sort((a, b) => a - b);
        const free = new Map(day.pots.map(({ id }) => [id, 0]));
        const held = [...placed]
          .sort((a, b) => a.start - b.start)
          .map(({ work, start, way }): Held => {
            const step = day.steps[work] as Step;
            if (!step.potLitres) return { step, start, pot: undefined };
            const size = sizes.filter((litres) => litres >= Number(step.potLitres))[way];
            const pot = day.pots.find(({ id, litres }) => Number(litres) === size && (free.get(id) ?? 0) <= start)?.id;
            expect(pot).toBeDefined();
            free.set(pot ?? '', start + step.active + step.passive);
            return { step, start, pot };
          });
        expect(isDay(day, held, length)).toBe(true);
      }),
      { numRuns: 150 },
    );
  });
});
