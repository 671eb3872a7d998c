import { sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, div, floor, format, mul, rational, sub, sum, zero } from '../rational.ts';
import type { PlanRoundInput } from './plan-round-input.ts';
import { readPlanRound } from './plan-round-input.ts';
import type { PlanProblem } from './plan-problem.ts';
import { planProblem } from './plan-problem.ts';
import type { PlanFound } from './plan-search.ts';
import { searchBatches } from './plan-search.ts';
import type { Aim } from './plan-worth.ts';

/** What is not used of an ingredient at hand, in the unit in which it is at hand. */
export interface LeftOver {
  readonly quantity: Rational;
  /** packs that were not opened, and what remains of the one that was */
  readonly packs: bigint;
  readonly opened: Rational;
}

/** The first aim that is not proved, and what no plan that is as good in those before it is under. */
export interface PlanBound {
  readonly aim: string;
  readonly of?: string;
  readonly atLeast: Rational;
}

export interface PlanRound {
  readonly proof: 'optimal' | 'bounded' | 'constructive';
  /** dish to batches, nothing that is nil */
  readonly batches: ReadonlyMap<string, number>;
  readonly portions: Rational;
  readonly wanted: Rational;
  /** portions that somebody wants and cannot get from any of the dishes; that can only be met with what is rather not eaten */
  readonly short: Rational;
  readonly unwilling: Rational;
  /** portions that nobody needs */
  readonly beyond: Rational;
  /** different dishes that households go without of those that they would like; dishes asked for that do not come */
  readonly varietyShort: number;
  readonly wishesUnmet: number;
  /** minor units, where the cost of every dish is known */
  readonly cost?: bigint;
  readonly left: ReadonlyMap<string, LeftOver>;
  /** household to the portions and the different dishes of the plan that it may eat */
  readonly fits: ReadonlyMap<string, { readonly portions: Rational; readonly dishes: number }>;
  readonly bound?: PlanBound;
}

/** The JSON form of a plan; `cost` only where every cost is known, `bound` only with `bounded`. */
export interface PlanRoundOutput {
  proof: PlanRound['proof'];
  batches: Record<string, number>;
  portions: string;
  wanted: string;
  short: string;
  unwilling: string;
  beyond: string;
  varietyShort: number;
  wishesUnmet: number;
  cost?: string;
  left: Record<string, { quantity: string; packs: string; opened: string }>;
  fits: Record<string, { portions: string; dishes: number }>;
  bound?: { aim: string; of?: string; atLeast: string };
}

const times = (value: Rational, count: number): Rational => mul(value, rational(BigInt(count)));

/** The exact value of an aim: portions, quantities at hand, or a count. */
export function exactValue(problem: PlanProblem, input: PlanRoundInput, { name, of }: Aim, value: number): Rational {
  const whole = rational(BigInt(value));
  if (name === 'short' || name === 'unwilling' || name === 'portions')
    return div(whole, rational(problem.partsPerPortion));
  if (name !== 'left') return whole;
  const hand = problem.hand.find(({ ingredient }) => ingredient === of);
  const quantity = input.atHand.find(({ ingredient }) => ingredient === of)?.quantity ?? zero;
  return hand && hand.steps > 0 ? mul(div(whole, rational(BigInt(hand.steps))), quantity) : zero;
}

function leftOf({ dishes, atHand }: PlanRoundInput, batches: readonly number[]): Map<string, LeftOver> {
  return new Map(
    atHand.map(({ ingredient, quantity, pack }) => {
      const used = sum(dishes.map((dish, d) => times(dish.uses.get(ingredient) ?? zero, batches[d] ?? 0)));
      const left = sub(quantity, used);
      const packs = floor(div(left, pack));
      return [ingredient, { quantity: left, packs, opened: sub(left, mul(pack, rational(packs))) }];
    }),
  );
}

function fitsOf({ households, dishes }: PlanRoundInput, batches: readonly number[]): PlanRound['fits'] {
  return new Map(
    households.map(({ id, excludes }) => {
      const eaten = dishes.flatMap((dish, d) => {
        const n = batches[d] ?? 0;
        return n > 0 && !excludes.has(dish.id) ? [times(dish.portions, n)] : [];
      });
      return [id, { portions: sum(eaten), dishes: eaten.length }];
    }),
  );
}

/** The result of what was found. */
export function planOf(
  input: PlanRoundInput,
  problem: PlanProblem,
  { aims, standing }: Pick<PlanFound, 'aims' | 'standing'>,
  proof: PlanRound['proof'],
  bound?: PlanBound,
): PlanRound {
  const { batches, values } = standing;
  const valueOf = (name: Aim['name']): number | undefined => {
    const index = aims.findIndex((aim) => aim.name === name);
    return index < 0 ? undefined : values[index];
  };
  const portionsOf = (name: Aim['name']): Rational => rational(BigInt(valueOf(name) ?? 0), problem.partsPerPortion);
  const [portions, short] = [portionsOf('portions'), portionsOf('short')];
  const wanted = rational(BigInt(problem.wantedParts), problem.partsPerPortion);
  const cost = valueOf('cost');
  return {
    proof,
    batches: new Map(problem.ids.flatMap((id, d) => ((batches[d] ?? 0) > 0 ? [[id, batches[d] ?? 0] as const] : []))),
    ...{ portions, wanted, short },
    // Whoever goes short goes short of willing portions too; what is meant is what is eaten unwillingly.
    unwilling: sub(portionsOf('unwilling'), short),
    beyond: sub(add(portions, short), wanted),
    varietyShort: valueOf('variety') ?? 0,
    wishesUnmet: valueOf('wishes') ?? 0,
    ...(cost === undefined ? {} : { cost: BigInt(cost) }),
    left: leftOf(input, batches),
    fits: fitsOf(input, batches),
    ...(bound ? { bound } : {}),
  };
}

/**
 * Which dishes and how many batches of each, from what households want, or from what is at hand and should be used up.
 * Aims, each only among what is best for those before it: fewest portions short; least left of what is at hand (in the order of the ingredients' ids); fewest
 * portions that only dishes rather not eaten would cover; fewest different dishes gone without (a container counts, each dish once for a household); fewest dishes
 * asked for in vain; least cost where every cost is known; fewest portions; fewest batches; ties by lot from the seed. Hard: what must not be eaten, what is at
 * hand, minutes, pots, freezer space, number of dishes, portions beyond those wanted. Our decision (ADR 44).
 * Method: searchBatches, without a solver. `portions`: exact; `batches`: whole. `proof`: `optimal`, or `constructive` when the search was ended before its end.
 * Throws `invalid-input` when what must be made does not fit, `too-large`.
 */
export function planRoundOf(input: PlanRoundInput): PlanRound {
  const problem = planProblem(input);
  const found = searchBatches(problem);
  return planOf(input, problem, found, found.isBest ? 'optimal' : 'constructive');
}

/** The JSON form. */
export function writePlanRound(plan: PlanRound): PlanRoundOutput {
  const { bound, cost } = plan;
  return {
    proof: plan.proof,
    batches: sortedRecord(plan.batches),
    portions: format(plan.portions),
    wanted: format(plan.wanted),
    short: format(plan.short),
    unwilling: format(plan.unwilling),
    beyond: format(plan.beyond),
    varietyShort: plan.varietyShort,
    wishesUnmet: plan.wishesUnmet,
    ...(cost === undefined ? {} : { cost: cost.toString() }),
    left: sortedRecord(
      [...plan.left].map(([id, { quantity, packs, opened }]) => [
        id,
        { quantity: format(quantity), packs: packs.toString(), opened: format(opened) },
      ]),
    ),
    fits: sortedRecord(
      [...plan.fits].map(([id, { portions, dishes }]) => [id, { portions: format(portions), dishes }]),
    ),
    ...(bound
      ? {
          bound: {
            aim: bound.aim,
            ...(bound.of === undefined ? {} : { of: bound.of }),
            atLeast: format(bound.atLeast),
          },
        }
      : {}),
  };
}

/** The command `plan-round`: planRoundOf from JSON to JSON (readPlanRound says what is read). Throws as these two do. */
export const planRound = (input: unknown): PlanRoundOutput => writePlanRound(planRoundOf(readPlanRound(input)));
