import { sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { cmp, floor, rational, sub, sum } from '../rational.ts';
import { drawOrder } from './draw.ts';

/** Ids to exact numbers; ids to whole numbers. */
export type Shares = ReadonlyMap<string, Rational>;
export type Wholes = Map<string, bigint>;

/**
 * Whole numbers nearest to exact ones, with a given sum: each first gets its floor, then what is left goes one by one to the largest
 * remainders (or is taken one by one from the smallest). Equal remainders are drawn by lot from the seed, never by name.
 * Source: the method of Hamilton, Balinski and Young, Fair Representation (1982). `exact`: id to exact number; `total`: the sum wanted;
 * `seed`: any text. Gives floor or ceiling for everyone whenever the exact numbers add up to `total`; the sum is always `total`.
 * Throws RangeError when there is nobody and `total` is not nil.
 */
export function largestRemainder(exact: Shares, total: bigint, seed: string): Wholes {
  const floors = new Map([...exact].map(([id, value]) => [id, floor(value)]));
  const remainder = (id: string): Rational => {
    const value = exact.get(id) ?? rational(0n);
    return sub(value, rational(floors.get(id) ?? 0n));
  };
  const order = drawOrder(seed, exact.keys()).sort((a, b) => cmp(remainder(b), remainder(a)));
  let left = total - [...floors.values()].reduce((a, b) => a + b, 0n);
  if (order.length === 0 && left !== 0n) throw new RangeError('There is nobody to give the total to.');
  const people = BigInt(order.length);
  // Far from the total (carried amounts can do that) everyone moves by the same whole number first.
  const turns = people === 0n ? 0n : (left - (((left % people) + people) % people)) / people;
  left -= turns * people;
  return new Map(order.map((id, rank) => [id, (floors.get(id) ?? 0n) + turns + (BigInt(rank) < left ? 1n : 0n)]));
}

/**
 * A whole total divided by weights, by largestRemainder. `total`: whole number of any sign; `weights`: id to weight, none negative.
 * Gives whole numbers that sum to `total`, each the floor or the ceiling of total x weight / sum of weights. Throws RangeError when no
 * weight is positive.
 */
export function allocateByWeight(total: bigint, weights: Shares, seed: string): Wholes {
  return largestRemainder(exactShares(total, weights), total, seed);
}

/** Everyone's exact part of a total: total x weight / sum of weights. Throws RangeError when no weight is positive. */
export function exactShares(total: bigint, weights: Shares): Map<string, Rational> {
  const all = sum(weights.values());
  if (all.n <= 0n) throw new RangeError('Somebody must have a weight above nil.');
  return new Map([...weights].map(([id, { n, d }]) => [id, rational(total * n * all.d, d * all.n)]));
}

/** A map of whole numbers in its wire form, texts sorted by key. */
export const wholesRecord = (wholes: ReadonlyMap<string, bigint>): Record<string, string> =>
  sortedRecord([...wholes].map(([id, value]) => [id, value.toString()] as const));
