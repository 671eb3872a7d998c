import type { Rational } from '../rational.ts';
import { add, cmp, eq, isZero, min, mul, sign, sub, zero } from '../rational.ts';

/**
 * How amounts can be filled completely from supplies, each household only from what it eats; undefined when they cannot.
 * Method: the plainest there is, one shortest path of spare amounts after another (Edmonds and Karp, J. ACM 19, 1972), written for checking only
 * and shared with no computation that it checks. `amounts`: each household's; `supply`: each dish's; `eats`[household][dish]. Gives
 * given[household][dish] and what is left of each dish.
 */
export function filling(
  amounts: readonly Rational[],
  supply: readonly Rational[],
  eats: readonly (readonly boolean[])[],
): { given: Rational[][]; left: Rational[] } | undefined {
  if (amounts.some((amount) => sign(amount) < 0)) return undefined;
  const wanted = [...amounts];
  const left = [...supply];
  const given = amounts.map(() => supply.map(() => zero));
  for (;;) {
    const start = wanted.findIndex((amount) => sign(amount) > 0);
    if (start < 0) return { given, left };
    const path = pathFrom(start, left, given, eats);
    if (!path) return undefined;
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

/** The households whose share of some dish could go to this one, directly or by exchanges along the way. */
function givers(
  to: number,
  eats: readonly (readonly boolean[])[],
  has: (household: number, dish: number) => boolean,
): { households: Set<number>; dishes: Set<number> } {
  const households = new Set([to]);
  const dishes = new Set<number>();
  for (const household of households) {
    eats[household]?.forEach((eatsIt, dish) => {
      if (!eatsIt || dishes.has(dish)) return;
      dishes.add(dish);
      eats.forEach((_, other) => {
        if (has(other, dish)) households.add(other);
      });
    });
  }
  households.delete(to);
  return { households, dishes };
}

/**
 * Whether amounts are the weighted leximin division, by its mark instead of by dividing: they fill from the supplies, and nobody who is below its own
 * limit could have more, neither of what is left nor from somebody who has more per weight. (For amounts in a polymatroid what cannot be
 * improved by one such step cannot be improved at all; Fujishige, Math. Oper. Res. 5, 1980.) Households of weight nil stand apart: they may only have
 * what no other may eat, equally. `limits`: what each household can have at most, undefined for no limit.
 */
export function isLeximin(
  amounts: readonly Rational[],
  weights: readonly Rational[],
  supply: readonly Rational[],
  eats: readonly (readonly boolean[])[],
  limits: readonly (Rational | undefined)[],
): boolean {
  const isOver = amounts.some((amount, h) => limits[h] !== undefined && cmp(amount, limits[h]) > 0);
  if (isOver) return false;
  const others = supply.map((amount, d) => (weights.some((w, h) => !isZero(w) && eats[h]?.[d]) ? zero : amount));
  const check = (isCounted: boolean, by: readonly Rational[], from: readonly Rational[]): boolean => {
    const inGroup = weights.map((weight) => !isZero(weight) === isCounted);
    const theirs = eats.map((row, h) => (inGroup[h] ? row : row.map(() => false)));
    const mine = amounts.map((amount, h) => (inGroup[h] ? amount : zero));
    const filled = filling(mine, from, theirs);
    if (!filled) return false;
    const has = (h: number, d: number): boolean => sign(filled.given[h]?.[d] ?? zero) > 0;
    return mine.every((amount, h) => {
      if (!inGroup[h] || (limits[h] !== undefined && eq(amount, limits[h]))) return true;
      const { households, dishes } = givers(h, theirs, has);
      if ([...dishes].some((d) => sign(filled.left[d] ?? zero) > 0)) return false;
      // amount / weight compared without dividing
      const level = (a: number, w: number): Rational => mul(mine[a] ?? zero, by[w] ?? zero);
      return [...households].every((other) => cmp(level(other, h), level(h, other)) <= 0);
    });
  };
  const equal = weights.map((): Rational => ({ n: 1n, d: 1n }));
  return check(true, weights, supply) && check(false, equal, others);
}

/** What a household has in units, and the numbers next to it that whole containers can make; undefined where there is none. */
export interface Neighbours {
  now: number;
  next: number | undefined;
  before: number | undefined;
}

/**
 * Whether no division of the containers can have a lesser sum of squared deviations, by a mark that needs no search: even if every container were cut into
 * units (of which all are whole multiples), with costs on the straight line between numbers of units that whole containers can make, no unit could go
 * from one household to another for the better. Where this fails, containers that cannot be cut may still be as near as they can.
 * `has`[household][dish]: whether it has something of it that it may give.
 */
export function isNearestByUnits(
  deviation: readonly Rational[],
  unit: Rational,
  eats: readonly (readonly boolean[])[],
  has: readonly (readonly boolean[])[],
  neighbours: readonly Neighbours[],
): boolean {
  const steps = (count: number): Rational => mul({ n: BigInt(count), d: 1n }, unit);
  const twice = (value: Rational | undefined): Rational => add(value ?? zero, value ?? zero);
  return deviation.every((to, h) => {
    const { now, next } = neighbours[h] ?? { now: 0, next: undefined };
    if (next === undefined) return true;
    // Per unit, x to x + s costs 2 x + s and x to x - s saves 2 x - s.
    const costs = add(twice(to), steps(next - now));
    const { households } = givers(h, eats, (other, dish) => has[other]?.[dish] ?? false);
    return [...households].every((from) => {
      const other = neighbours[from] ?? { now: 0, before: undefined };
      const saves = sub(twice(deviation[from]), steps(other.now - (other.before ?? other.now)));
      return cmp(saves, costs) <= 0;
    });
  });
}
