import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { planProblem } from './plan-problem.ts';
import type { PlanRoundOutput } from './plan-round.ts';
import { planRound } from './plan-round.ts';
import { readPlanRound } from './plan-round-input.ts';
import { aimsOf } from './plan-worth.ts';
import { verifyPlanRound } from './verify-plan-round.ts';

interface Dish {
  id: string;
  portions: string;
  container?: string;
  atLeast?: number;
  atMost?: number;
  uses: { ingredient: string; quantity: string; unit: string }[];
  minutes?: { perBatch?: number; fixed?: number };
  pots?: number;
  freezerMl?: number;
  cost?: string;
}

const sometimes = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });
const some = (count: number) => fc.subarray(['d0', 'd1', 'd2', 'd3'].slice(0, count));

const dish = (isPriced: boolean) =>
  fc.record({
    portions: fc.constantFrom('4', '6', '8', '15/2'),
    container: sometimes(fc.constantFrom('2', '3', '4')),
    atMost: sometimes(fc.integer({ min: 0, max: 3 })),
    mince: sometimes(fc.constantFrom('500', '700', '1200', '2000/3')),
    minutes: sometimes(
      fc.record({
        perBatch: sometimes(fc.integer({ min: 0, max: 60 })),
        fixed: sometimes(fc.integer({ min: 0, max: 40 })),
      }),
    ),
    pots: sometimes(fc.integer({ min: 0, max: 2 })),
    freezerMl: sometimes(fc.integer({ min: 0, max: 4000 })),
    cost: isPriced ? fc.integer({ min: 0, max: 900 }).map(String) : fc.constant(undefined),
  });

const household = (dishes: number) =>
  fc.record({
    portions: fc.constantFrom('0', '3', '5', '13/2', '8'),
    excludes: some(dishes),
    refuses: some(dishes),
    variety: fc.integer({ min: 0, max: 3 }),
    wishes: some(dishes),
  });

/** Small enough for every plan to be looked at: at most four dishes of which nobody needs more than a few batches. */
const given = fc
  .record({ dishes: fc.integer({ min: 1, max: 4 }), isPriced: fc.boolean() })
  .chain(({ dishes, isPriced }) =>
    fc.record({
      dishes: fc.array(dish(isPriced), { minLength: dishes, maxLength: dishes }),
      households: fc.array(household(dishes), { minLength: 1, maxLength: 3 }),
      hand: sometimes(fc.integer({ min: 0, max: 3 })),
      kitchen: sometimes(
        fc.record({
          minutes: sometimes(fc.integer({ min: 0, max: 300 })),
          pots: sometimes(fc.integer({ min: 0, max: 6 })),
          freezerMl: sometimes(fc.integer({ min: 0, max: 20_000 })),
          dishes: sometimes(fc.integer({ min: 0, max: 4 })),
        }),
      ),
      beyond: sometimes(fc.constantFrom('0', '4', '21/2')),
    }),
  )
  .map(({ dishes, households, hand, ...rest }) => ({
    seed: 'round 14',
    households: households.map((each, index) => ({ id: `h${index}`, ...each })),
    dishes: dishes.map(({ mince, ...each }, index): Dish => ({
      ...each,
      id: `d${index}`,
      uses: mince === undefined ? [] : [{ ingredient: 'mince', quantity: mince, unit: 'g' }],
    })),
    ...(hand === undefined
      ? {}
      : { atHand: [{ ingredient: 'mince', quantity: String(hand), unit: 'kg', pack: '1/2' }] }),
    ...rest,
  }));

/** Without members that are undefined, as JSON would carry it. */
const plain = (input: unknown): unknown => JSON.parse(JSON.stringify(input)) as unknown;

/** The values of all aims for every choice of batches that breaks no limit, the best of them; the limits written down once more. */
function bestOfAll(input: unknown): number[] {
  const read = readPlanRound(input);
  const aims = aimsOf(planProblem(read));
  const numbers = (text: string): number =>
    text.split('/').reduce((a, b, i) => (i === 0 ? Number(b) : a / Number(b)), 0);
  const {
    dishes = [],
    kitchen = {},
    atHand = [],
    beyond,
    households = [],
  } = input as {
    dishes: Dish[];
    kitchen?: Record<string, number>;
    atHand?: { quantity: string }[];
    beyond?: string;
    households: { portions: string }[];
  };
  const sum = (worth: (dish: Dish, n: number) => number, batches: number[]): number =>
    dishes.reduce((total, each, d) => total + worth(each, batches[d] ?? 0), 0);
  const wanted = households.reduce((total, { portions }) => total + numbers(portions), 0);
  const isAllowed = (batches: number[]): boolean =>
    sum((each, n) => n * (each.minutes?.perBatch ?? 0) + (n > 0 ? (each.minutes?.fixed ?? 0) : 0), batches) <=
      (kitchen['minutes'] ?? Infinity) &&
    sum((each, n) => n * (each.pots ?? 0), batches) <= (kitchen['pots'] ?? Infinity) &&
    sum((each, n) => n * (each.freezerMl ?? 0), batches) <= (kitchen['freezerMl'] ?? Infinity) &&
    batches.filter((n) => n > 0).length <= (kitchen['dishes'] ?? Infinity) &&
    (atHand[0] === undefined ||
      sum((each, n) => n * numbers(each.uses[0]?.quantity ?? '0'), batches) <=
        Number(atHand[0].quantity) * 1000 + 1e-6) &&
    (beyond === undefined || sum((each, n) => n * numbers(each.portions), batches) <= wanted + numbers(beyond));
  let best: number[] | undefined;
  const visit = (batches: number[]): void => {
    if (batches.length === dishes.length) {
      if (!isAllowed(batches)) return;
      const first = best ? aims.findIndex(({ valueOf }, index) => valueOf(batches) !== best?.[index]) : 0;
      const isBetter = !best || (first >= 0 && (aims[first]?.valueOf(batches) ?? 0) < (best[first] ?? 0));
      if (isBetter) best = aims.map(({ valueOf }) => valueOf(batches));
      return;
    }
    const most = Math.min(6, dishes[batches.length]?.atMost ?? 6);
    for (let n = 0; n <= most; n++) visit([...batches, n]);
  };
  visit([]);
  return best ?? [];
}

function valuesOf(input: unknown, { batches }: PlanRoundOutput): number[] {
  const problem = planProblem(readPlanRound(input));
  return aimsOf(problem).map(({ valueOf }) => valueOf(problem.ids.map((id) => batches[id] ?? 0)));
}

describe('planRound', () => {
  it('is as good as the best of all choices, and verifies', () => {
    fc.assert(
      fc.property(given, (drawn) => {
        const input = plain(drawn);
        const plan = planRound(input);
        expect([plan.proof, verifyPlanRound(input, plan)]).toEqual(['optimal', []]);
        expect(valuesOf(input, plan)).toEqual(bestOfAll(input));
      }),
      { numRuns: 2000 },
    );
  });

  it('gives the same bytes whatever the order of its lists', () => {
    const turned = (value: unknown): unknown =>
      Array.isArray(value) ? [...(value as unknown[])].reverse().map(turned) : value;
    fc.assert(
      fc.property(given, (drawn) => {
        const input = plain(drawn) as Record<string, unknown>;
        const other = Object.fromEntries(
          Object.entries(input)
            .reverse()
            .map(([key, member]) => [key, turned(member)]),
        );
        expect(canonicalJson(planRound(other))).toBe(canonicalJson(planRound(input)));
      }),
      { numRuns: 300 },
    );
  });
});
