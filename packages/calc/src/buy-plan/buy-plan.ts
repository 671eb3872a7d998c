import { sortedRecord } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { add, format, isZero, min, mul, rational, sub } from '../rational.ts';
import type { BuyPlanInput } from './buy-plan-input.ts';
import { readBuyPlan } from './buy-plan-input.ts';
import type { BuyProblem } from './buy-problem.ts';
import { buyProblem } from './buy-problem.ts';
import { TooManyCovers } from './covering.ts';
import type { Plan } from './plan-cost.ts';
import type { SearchResult } from './seller-search.ts';
import { searchPlan } from './seller-search.ts';

/** What to buy: whole packs of offers, goods and fee of each seller bought from, and what is left over. */
export interface BuyPlan {
  readonly proof: 'optimal' | 'bounded';
  readonly packs: ReadonlyMap<string, number>;
  readonly sellers: ReadonlyMap<string, { readonly goodsMinor: bigint; readonly feeMinor: bigint }>;
  /** ingredient to what is bought beyond the need, in the need's unit; nothing that is nil */
  readonly surplus: ReadonlyMap<string, Rational>;
  /** goods and fees, minor units */
  readonly totalMinor: bigint;
  /** what the stored surplus is worth, minor units; nil unless something storable is left over */
  readonly storedMinor: Rational;
  /** with `bounded`: no plan's total less stored worth is under this */
  readonly atLeastMinor?: Rational;
}

/** The JSON form of a plan; `stored` only where a surplus is worth something, `atLeast` only with `bounded`. */
export interface BuyPlanOutput {
  proof: 'optimal' | 'bounded';
  packs: Record<string, number>;
  sellers: Record<string, { goods: string; fee: string }>;
  surplus: Record<string, string>;
  total: string;
  stored?: string;
  atLeast?: string;
}

const times = (value: Rational, count: number): Rational => mul(value, rational(BigInt(count)));

/** The packs of a plan by offer, sorted by id. */
export function packsById({ ingredients }: BuyProblem, { covers }: Pick<Plan, 'covers'>): Map<string, number> {
  const packs = covers.flatMap((cover, index) =>
    cover.packs.flatMap(([place, count]): [string, number][] => {
      const id = ingredients[index]?.options[place]?.id;
      return id === undefined || count === 0 ? [] : [[id, count]];
    }),
  );
  return new Map(Object.entries(sortedRecord(packs)));
}

/** What packs come to, from the input alone. */
export function planOfPacks(
  input: BuyPlanInput,
  packs: ReadonlyMap<string, number>,
  proof: BuyPlan['proof'],
  atLeastMinor?: Rational,
): BuyPlan {
  const goods = new Map<string, bigint>();
  const bought = new Map<string, Rational>();
  for (const { id, seller, ingredient, pack, price } of input.offers) {
    const count = packs.get(id) ?? 0;
    if (count === 0) continue;
    goods.set(seller, (goods.get(seller) ?? 0n) + BigInt(price) * BigInt(count));
    bought.set(ingredient, add(bought.get(ingredient) ?? rational(0n), times(pack, count)));
  }
  const sellers = new Map<string, { goodsMinor: bigint; feeMinor: bigint }>();
  for (const { id, fee, freeFrom } of input.sellers) {
    const goodsMinor = goods.get(id);
    if (goodsMinor === undefined) continue;
    const isFree = freeFrom !== undefined && goodsMinor >= BigInt(freeFrom);
    sellers.set(id, { goodsMinor, feeMinor: isFree ? 0n : BigInt(fee) });
  }
  const surplus = new Map<string, Rational>();
  let storedMinor = rational(0n);
  for (const { ingredient, quantity, storable } of input.needs) {
    const over = sub(bought.get(ingredient) ?? rational(0n), quantity);
    if (isZero(over)) continue;
    surplus.set(ingredient, over);
    if (storable) storedMinor = add(storedMinor, mul(storable.valuePerUnit, min(over, storable.upTo)));
  }
  const totalMinor = [...sellers.values()].reduce((sum, { goodsMinor, feeMinor }) => sum + goodsMinor + feeMinor, 0n);
  return { proof, packs, sellers, surplus, totalMinor, storedMinor, atLeastMinor };
}

/** Runs the search, and tells as refusals what it cannot do. */
export function searched(problem: BuyProblem): SearchResult {
  try {
    const found = searchPlan(problem);
    if (found) return found;
  } catch (error) {
    if (!(error instanceof TooManyCovers)) throw error;
    const detail = 'The packs can be combined in too many ways; leave out offers, or give needs in larger steps.';
    throw new DomainError('too-large', detail, { errors: [{ pointer: '#/needs', detail }] });
  }
  const detail = 'The offers are enough only with a seller whose minimum order cannot be reached.';
  throw invalidInput([{ pointer: '#/sellers', detail, code: 'no-offer' }]);
}

/**
 * Which packs to buy from whom so that every need is covered at the least cost: goods and fees, less what a storable surplus is worth up to what can be
 * stored. Of equal costs the fewest sellers, then for each ingredient the fewest packs.
 * Method: searchPlan, without a solver. `input`: as readBuyPlan gives it. Gives whole packs, never short; `proof` is `optimal`, or `bounded` with
 * `atLeastMinor` when the search was ended before its end. Throws `no-offer` when the offers are not enough, `too-large`.
 */
export function planPacks(input: BuyPlanInput): BuyPlan {
  const problem = buyProblem(input);
  const { plan, bound } = searched(problem);
  const packs = packsById(problem, plan);
  return bound === undefined
    ? planOfPacks(input, packs, 'optimal')
    : planOfPacks(input, packs, 'bounded', rational(bound, problem.scale));
}

/** The JSON form. */
export function writeBuyPlan(plan: BuyPlan): BuyPlanOutput {
  const { proof, packs, sellers, surplus, totalMinor, storedMinor, atLeastMinor } = plan;
  return {
    proof,
    packs: sortedRecord(packs),
    sellers: sortedRecord(
      [...sellers].map(([id, { goodsMinor, feeMinor }]) => [
        id,
        { goods: goodsMinor.toString(), fee: feeMinor.toString() },
      ]),
    ),
    surplus: sortedRecord([...surplus].map(([id, quantity]) => [id, format(quantity)])),
    total: totalMinor.toString(),
    ...(isZero(storedMinor) ? {} : { stored: format(storedMinor) }),
    ...(atLeastMinor === undefined ? {} : { atLeast: format(atLeastMinor) }),
  };
}

/** The command `buy-plan`: planPacks from JSON to JSON (readBuyPlan says what is read). Throws as these two do. */
export const buyPlan = (input: unknown): BuyPlanOutput => writeBuyPlan(planPacks(readBuyPlan(input)));
