import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { rational } from '../rational.ts';
import { brokenBy } from './broken-limits.ts';
import { canBeKept } from './verify-conflict.ts';
import { allLimits } from './limits.ts';
import { squaresOf, targetsOf } from './loads.ts';
import { priceOfItems } from './repair.ts';
import { readRota } from './rota-input.ts';
import { rotaProblem } from './rota-problem.ts';
import { loadsOf } from './nearest-turns.ts';
import { planRota, rota, writeRota } from './rota.ts';
import { verifyRota } from './verify-rota.ts';

interface Size {
  weeks: number;
  households: number;
  team: number;
}

/** Rotas in which absences, gaps, skills, pots and kept turns often collide. */
const inputs = ({ weeks, households, team }: Size) =>
  fc
    .record({
      weeks: fc.integer({ min: 1, max: weeks }),
      households: fc.integer({ min: 1, max: households }),
      dishes: fc.constantFrom<string[][]>(['soup'], ['soup', 'pie'], []),
    })
    .chain(({ weeks: many, households: people, dishes }) => {
      const weekIds = Array.from({ length: many }, (_, i) => `w${i}`);
      const ids = Array.from({ length: people }, (_, i) => `h${i}`);
      return fc.record({
        weeks: fc.tuple(
          ...weekIds.map((id) =>
            fc.record({
              id: fc.constant(id),
              team: fc.integer({ min: 0, max: team }),
              litres: fc.constantFrom('0', '0', '7.5'),
              dishes: fc.subarray(dishes),
            }),
          ),
        ),
        households: fc.tuple(
          ...ids.map((id) =>
            fc.record({
              id: fc.constant(id),
              weight: fc.constantFrom('1', '2', '5/2', '0'),
              owedTurns: fc.constantFrom('0', '1/2', '-1'),
              away: fc.oneof(fc.constant<string[]>([]), fc.subarray(weekIds)),
              skills: fc.subarray(dishes),
              potLitres: fc.constantFrom('4', '8'),
              minGap: fc.integer({ min: 0, max: 2 }),
            }),
          ),
        ),
        kept: fc.oneof(
          fc.constant<{ week: string; household: string }[]>([]),
          fc.record({ week: fc.constantFrom(...weekIds), household: fc.constantFrom(...ids) }).map((turn) => [turn]),
        ),
      });
    })
    .filter(({ weeks: all, kept }) => kept.every((turn) => (all.find(({ id }) => id === turn.week)?.team ?? 0) > 0));

/** The least price of limits given up by any turns at all, and the least squares among turns that break only these limits. */
function bruteForce(input: unknown): { price: number; squares: ReturnType<typeof rational> } {
  const problem = rotaProblem(readRota(input));
  const asked = allLimits(problem);
  let best = { price: Infinity, squares: 0n, factor: 1n };
  const on = new Uint8Array(problem.away.length);
  for (let set = 0; set < 2 ** on.length; set++) {
    for (let pair = 0; pair < on.length; pair++) on[pair] = Math.floor(set / 2 ** pair) % 2;
    const price = priceOfItems(problem, brokenBy(problem, asked, on));
    if (price > best.price) continue;
    const targets = targetsOf(
      problem,
      on.reduce((a, b) => a + b, 0),
    );
    const squares = squaresOf(targets, loadsOf(problem, on));
    const isLess = squares * best.factor ** 2n < best.squares * targets.factor ** 2n;
    if (price < best.price || isLess) best = { price, squares, factor: targets.factor };
  }
  return { price: best.price, squares: rational(best.squares, best.factor ** 2n) };
}

describe('rota, always', () => {
  it('keeps everything and comes as near to the targets as brute force, or gives up what is cheapest', () => {
    const seen = { possible: 0, repaired: 0 };
    fc.assert(
      fc.property(inputs({ weeks: 4, households: 3, team: 2 }), (input) => {
        const result = planRota(readRota(input));
        expect(verifyRota(input, writeRota(result))).toEqual([]);
        expect(result.proof).toBe('optimal');
        const { price, squares } = bruteForce(input);
        if (price === 0) expect(result.squares).toEqual(squares);
        seen[price === 0 ? 'possible' : 'repaired']++;
        const problem = rotaProblem(readRota(input));
        const on = new Uint8Array(problem.away.length);
        for (const { week, household } of result.turns) {
          const h = problem.households.findIndex(({ id }) => id === household);
          on[h * problem.weeks.length + problem.weeks.findIndex(({ id }) => id === week)] = 1;
        }
        expect(priceOfItems(problem, brokenBy(problem, allLimits(problem), on))).toBe(price);
      }),
      { numRuns: 2500 },
    );
    expect(seen.possible).toBeGreaterThan(300);
    expect(seen.repaired).toBeGreaterThan(300);
  });

  it('names a conflict that cannot be kept, and can without any one of its limits', () => {
    fc.assert(
      fc.property(inputs({ weeks: 4, households: 4, team: 3 }), (input) => {
        const read = readRota(input);
        const { conflict, relax } = planRota(read);
        expect(conflict.length > 0).toBe(relax.length > 0);
        if (conflict.length === 0) return;
        expect(canBeKept(read, conflict)).toBe(false);
        for (const limit of conflict)
          expect(
            canBeKept(
              read,
              conflict.filter((other) => other !== limit),
            ),
          ).toBe(true);
      }),
      { numRuns: 1500 },
    );
  });

  it('is sound for larger ones and gives the same bytes whatever the order of the input', () => {
    fc.assert(
      fc.property(inputs({ weeks: 12, households: 7, team: 3 }), (input) => {
        const result = rota(input);
        expect(verifyRota(input, result)).toEqual([]);
        const turned = {
          weeks: [...input.weeks].reverse().map((week) => ({ ...week, dishes: [...week.dishes].reverse() })),
          households: [...input.households].reverse().map((one) => ({ ...one, away: [...one.away].reverse() })),
          kept: input.kept,
        };
        expect(canonicalJson(rota(turned))).toBe(canonicalJson(result));
      }),
      { numRuns: 150 },
    );
  });
});
