import type { Rational } from '../rational.ts';
import { add, cmp, eq, isZero, min, sign, sub, sum, zero } from '../rational.ts';

/**
 * Whether amounts can be filled completely from supplies, each household only from what it eats.
 * Method: the plainest there is, one shortest path of spare amounts after another (Edmonds and Karp, J. ACM 19, 1972), written for checking only
 * and shared with no computation that it checks. `amounts`: each household's; `supply`: each dish's; `eats`[household][dish].
 */
export function canFill(
  amounts: readonly Rational[],
  supply: readonly Rational[],
  eats: readonly (readonly boolean[])[],
): boolean {
  if (amounts.some((amount) => sign(amount) < 0)) return false;
  const wanted = [...amounts];
  const left = [...supply];
  const given = amounts.map(() => supply.map(() => zero));
  for (;;) {
    const start = wanted.findIndex((amount) => sign(amount) > 0);
    if (start < 0) return true;
    const path = pathFrom(start, left, given, eats);
    if (!path) return false;
    // A path reads household, dish, household, dish, ..., dish: every second step takes back what the next household had of that dish.
    const last = path.at(-1) ?? 0;
    let amount = min(wanted[start] ?? zero, left[last] ?? zero);
    for (let i = 2; i < path.length; i += 2) amount = min(amount, given[path[i] ?? 0]?.[path[i - 1] ?? 0] ?? zero);
    wanted[start] = sub(wanted[start] ?? zero, amount);
    left[last] = sub(left[last] ?? zero, amount);
    for (let i = 0; i + 1 < path.length; i += 2) {
      const [household = 0, dish = 0, from] = [path[i], path[i + 1], path[i + 2]];
      const row = given[household];
      if (row) row[dish] = add(row[dish] ?? zero, amount);
      const other = from === undefined ? undefined : given[from];
      if (other) other[dish] = sub(other[dish] ?? zero, amount);
    }
  }
}

function pathFrom(
  start: number,
  left: readonly Rational[],
  given: readonly (readonly Rational[])[],
  eats: readonly (readonly boolean[])[],
): number[] | undefined {
  const queue = [[start]];
  const seenDishes = new Set<number>();
  const seenHouseholds = new Set([start]);
  for (const path of queue) {
    const household = path.at(-1) ?? 0;
    for (let dish = 0; dish < left.length; dish++) {
      if (!eats[household]?.[dish] || seenDishes.has(dish)) continue;
      seenDishes.add(dish);
      if (!isZero(left[dish] ?? zero)) return [...path, dish];
      given.forEach((row, other) => {
        if (seenHouseholds.has(other) || isZero(row[dish] ?? zero)) return;
        seenHouseholds.add(other);
        queue.push([...path, dish, other]);
      });
    }
  }
  return undefined;
}

/**
 * Whether amounts are the weighted leximin division, by its mark instead of by dividing: they fill from the supplies and use them up, and for every
 * level of amount per weight, those at or under it have between them all that any of them may eat. (Fujishige 1980: a base whose lower levels are
 * all tight is the lexicographically optimal one.) Households of weight nil stand apart: they may only have what no other may eat, equally.
 */
export function isLeximin(
  amounts: readonly Rational[],
  weights: readonly Rational[],
  supply: readonly Rational[],
  eats: readonly (readonly boolean[])[],
): boolean {
  const counted = weights.flatMap((weight, h) => (isZero(weight) ? [] : [h]));
  const uncounted = weights.flatMap((weight, h) => (isZero(weight) ? [h] : []));
  const others = supply.map((amount, d) => (counted.some((h) => eats[h]?.[d]) ? zero : amount));
  const equal = weights.map((): Rational => ({ n: 1n, d: 1n }));
  const lowerLevelsFull = (group: readonly number[], by: readonly Rational[], from: readonly Rational[]): boolean =>
    group.every((level) => {
      // amount / weight compared without dividing
      const under = group.filter((h) => {
        const [a, w, b, v] = [amounts[h] ?? zero, by[h] ?? zero, amounts[level] ?? zero, by[level] ?? zero];
        return cmp({ n: a.n * v.n, d: a.d * v.d }, { n: b.n * w.n, d: b.d * w.d }) <= 0;
      });
      const theirs = sum(from.filter((_, d) => under.some((h) => eats[h]?.[d])));
      return eq(sum(under.map((h) => amounts[h] ?? zero)), theirs);
    });
  const only = (group: readonly number[]): Rational[] =>
    amounts.map((amount, h) => (group.includes(h) ? amount : zero));
  return (
    canFill(only(counted), supply, eats) &&
    canFill(only(uncounted), others, eats) &&
    lowerLevelsFull(counted, weights, supply) &&
    lowerLevelsFull(uncounted, equal, others)
  );
}
