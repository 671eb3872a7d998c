import type { Rational } from '../rational.ts';
import { cmp, mul, rational, sub, sum, zero } from '../rational.ts';
import type { Limit } from './plan-problem.ts';
import { planProblem, usedOf } from './plan-problem.ts';
import type { PlanRoundInput } from './plan-round-input.ts';
import type { PlanRound } from './plan-round.ts';

/** What stands against one batch more of a dish: a limit and by how much it would be passed, or the most batches of the dish. */
export interface Obstacle {
  readonly limit: Limit['name'] | 'at-most';
  /** in the limit's own unit: the unit at hand, minutes, pots, millilitres, dishes, portions */
  readonly over: Rational;
}

/** One batch more of a dish that takes something of which there is some left. */
export interface NextUse {
  readonly dish: string;
  readonly takes: Rational;
  /** what more of the ingredient there would have to be; nil when there is enough */
  readonly missing: Rational;
  readonly obstacles: readonly Obstacle[];
}

/** Why a household gets fewer different dishes than it would like: not so many are there for it at all, or not so many are in the plan. */
export interface FewerDishes {
  readonly household: string;
  readonly wished: number;
  readonly planned: number;
  readonly reason: 'may-eat-few' | 'not-planned';
}

export interface PlanRoundExplanation {
  /** for every ingredient of which there is some left, what would use it up, what is missing least first */
  readonly leftOver: readonly { readonly ingredient: string; readonly next: readonly NextUse[] }[];
  readonly fewerDishes: readonly FewerDishes[];
  /** households for which the portions of what they may eat are fewer than they want */
  readonly short: readonly { readonly household: string; readonly wanted: Rational; readonly planned: Rational }[];
}

const exact = (input: PlanRoundInput, limit: Limit, over: number, partsPerPortion: bigint): Rational => {
  const whole = rational(BigInt(over));
  if (limit.name === 'beyond') return rational(BigInt(over), partsPerPortion);
  if (limit.name !== 'at-hand') return whole;
  const hand = input.atHand.find(({ ingredient }) => ingredient === limit.of);
  return hand && limit.most > 0 ? mul(rational(BigInt(over), BigInt(limit.most)), hand.quantity) : whole;
};

/**
 * What a plan leaves over and what would use it up, and who gets fewer dishes or portions than wished and why. Method: for each dish one batch more is held
 * against every limit; counts of the input and the plan only. `plan`: of planRoundOf or planRoundProved; `input`: what it was made from. Numbers and ids, no words.
 */
export function explainPlanRound(plan: PlanRound, input: PlanRoundInput): PlanRoundExplanation {
  const problem = planProblem(input);
  const batches = problem.ids.map((id) => plan.batches.get(id) ?? 0);
  const obstaclesOf = (d: number, ingredient: string): Obstacle[] => {
    const more = batches.map((n, each) => (each === d ? n + 1 : n));
    const passed = problem.limits.flatMap((limit): Obstacle[] => {
      const over = usedOf(limit, more) - limit.most;
      if (over <= 0 || (limit.name === 'at-hand' && limit.of === ingredient)) return [];
      return [{ limit: limit.name, over: exact(input, limit, over, problem.partsPerPortion) }];
    });
    const most = input.dishes[d]?.atMost ?? 0;
    return (batches[d] ?? 0) < most ? passed : [...passed, { limit: 'at-most', over: rational(1n) }];
  };
  const leftOver = input.atHand.flatMap(({ ingredient }) => {
    const left = plan.left.get(ingredient)?.quantity ?? zero;
    if (cmp(left, zero) <= 0) return [];
    const next = input.dishes.flatMap(({ id, uses }, d): NextUse[] => {
      const takes = uses.get(ingredient);
      if (!takes) return [];
      const missing = sub(takes, left);
      return [
        { dish: id, takes, missing: cmp(missing, zero) > 0 ? missing : zero, obstacles: obstaclesOf(d, ingredient) },
      ];
    });
    return [
      { ingredient, next: next.sort((a, b) => cmp(a.missing, b.missing) || a.obstacles.length - b.obstacles.length) },
    ];
  });
  const willingly = ({ excludes, refuses }: PlanRoundInput['households'][number]): string[] =>
    input.dishes.flatMap(({ id }) => (excludes.has(id) || refuses.has(id) ? [] : [id]));
  return {
    leftOver,
    fewerDishes: input.households.flatMap((household): FewerDishes[] => {
      const may = willingly(household);
      const planned = may.filter((id) => plan.batches.has(id)).length;
      if (planned >= household.variety) return [];
      const reason = may.length < household.variety ? 'may-eat-few' : 'not-planned';
      return [{ household: household.id, wished: household.variety, planned, reason }];
    }),
    short: input.households.flatMap(({ id, portions, excludes }) => {
      const planned = sum(
        input.dishes.map((dish, d) =>
          excludes.has(dish.id) ? zero : mul(dish.portions, rational(BigInt(batches[d] ?? 0))),
        ),
      );
      return cmp(planned, portions) < 0 ? [{ household: id, wanted: portions, planned }] : [];
    }),
  };
}
