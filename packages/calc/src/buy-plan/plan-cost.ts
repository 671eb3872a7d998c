import type { BuyProblem, Ingredient } from './buy-problem.ts';
import { valueOf } from './buy-problem.ts';
import type { Cover, Packs } from './cheapest-cover.ts';
import { hasSeller } from './cheapest-cover.ts';

/** A cover for each ingredient, and what comes of them. */
export interface Plan {
  readonly covers: readonly Cover[];
  /** the sellers bought from, as bits */
  readonly used: number;
  /** goods bought from each seller, minor units */
  readonly goods: readonly number[];
  /** every minimum order is reached */
  readonly isAllowed: boolean;
  /** cost less worth of what is stored, in the problem's scale */
  readonly net: bigint;
  /** net first, then the number of sellers: what is sought least */
  readonly rank: bigint;
}

/** More than there can be sellers: makes one whole number of a cost and a number of sellers, the cost first. */
export const rankStep = 32n;

export function bitsOf(set: number): number {
  let bits = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) bits += 1;
  return bits;
}

export const multiplierOf = ({ scale }: BuyProblem, ingredient: Ingredient): bigint => scale / BigInt(ingredient.scale);

/** Costs of covers together, in the problem's scale. */
export const netOf = (problem: BuyProblem, covers: readonly Cover[]): bigint =>
  covers.reduce(
    (sum, { net }, index) => sum + BigInt(net) * multiplierOf(problem, problem.ingredients[index] as Ingredient),
    0n,
  );

/** The cover that these packs are; they must be enough. */
export function coverOf(ingredient: Ingredient, packs: Packs): Cover {
  let size = 0;
  let cost = 0;
  let sellers = 0;
  for (const [place, count] of packs) {
    const option = ingredient.options[place];
    if (!option) continue;
    size += option.size * count;
    cost += option.cost * count;
    sellers |= 1 << option.seller;
  }
  return { net: cost - valueOf(ingredient, Math.min(size, ingredient.cap)), sellers, packs };
}

/** What a plan really costs: the fee of each seller bought from unless its goods make delivery free, and whether the minimum orders are reached. */
export function planOf(problem: BuyProblem, covers: readonly Cover[]): Plan {
  const goods = problem.sellers.map(() => 0);
  let used = 0;
  covers.forEach(({ packs }, index) => {
    for (const [place, count] of packs) {
      const option = problem.ingredients[index]?.options[place];
      if (!option) continue;
      goods[option.seller] = (goods[option.seller] ?? 0) + option.price * count;
      used |= 1 << option.seller;
    }
  });
  let isAllowed = true;
  let fees = 0;
  problem.sellers.forEach(({ fee, freeFrom, minimumOrder }, seller) => {
    if (!hasSeller(used, seller)) return;
    const bought = goods[seller] ?? 0;
    if (bought < minimumOrder) isAllowed = false;
    if (freeFrom === undefined || bought < freeFrom) fees += fee;
  });
  const net = netOf(problem, covers) + BigInt(fees) * problem.scale;
  return { covers, used, goods, isAllowed, net, rank: net * rankStep + BigInt(bitsOf(used)) };
}
