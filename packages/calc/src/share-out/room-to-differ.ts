import { AttainableUnits } from './attainable-units.ts';
import type { Holding } from './holding.ts';

/**
 * Every division that is as near to the targets as one in view, described by bounds: how many units each household may have, and what it may not be given.
 * A unit is the greatest amount of which every container is a whole multiple.
 */
export interface RoomToDiffer {
  /** the least and greatest number of units of each household */
  units: (readonly [number, number])[];
  /** mayTake[household][lot]: whether it may have more of it than it held from before */
  mayTake: boolean[][];
}

/** What a unit more costs a household at least, and what a unit less saves it at most, in its squared deviation (less a factor that is common to all). */
interface Margin {
  /** undefined when it can have no more */
  up: bigint | undefined;
  down: bigint;
  /** the attainable numbers of units next to what it has */
  next: number;
  before: number;
}

function marginsOf(holding: Holding): Margin[] {
  const { sizeFactor: unit, deviation } = holding;
  const attainable = new AttainableUnits(holding);
  return holding.unitsNow().map((now, h) => {
    const off = 2n * (deviation[h] ?? 0n);
    const next = attainable.next(h, now);
    const before = attainable.before(h, now) ?? now;
    const isFull = next === undefined || next - now > holding.unitsToLimit(h);
    // ((x + s u)^2 - x^2) / s u = 2 x + s u: the slope from one attainable number to the next, so that the cost is convex.
    return {
      up: isFull ? undefined : off + BigInt(next - now) * unit,
      down: off - BigInt(now - before) * unit,
      next: isFull ? now : next,
      before,
    };
  });
}

/** The price of a unit in each household: the most that a unit saves in any household from which it could come. */
function prices(holding: Holding, margins: readonly Margin[]): (bigint | undefined)[] {
  const { problem, size } = holding;
  const gives = problem.households.map((_, h) =>
    problem.dishes.map((__, d) =>
      problem.lots.some((___, l) => problem.dishOf[l] === d && (size[l] ?? 0) > 0 && holding.movable(h, l) > 0),
    ),
  );
  const price = gives.map((row, h) => (row.includes(true) ? margins[h]?.down : undefined));
  for (let changed = true; changed;) {
    changed = false;
    problem.dishes.forEach((_, d) => {
      let most: bigint | undefined;
      price.forEach((value, h) => {
        if (gives[h]?.[d] && value !== undefined && (most === undefined || value > most)) most = value;
      });
      if (most === undefined) return;
      for (let h = 0; h < price.length; h++) {
        const value = price[h];
        if (!problem.eats[h]?.[d] || (value !== undefined && value >= most)) continue;
        price[h] = most;
        changed = true;
      }
    });
  }
  return price;
}

/**
 * Whether no division of the containers can have a lesser sum of squared deviations, shown by a bound: if containers could be cut into units, and a household's
 * cost between two numbers of units that whole containers can make were on the straight line between them, no unit could be moved for the
 * better. Gives everything that is exactly as good, or undefined when the bound does not show it.
 * Method: that bound is the least cost of a network flow with convex costs. The prices (of a unit in each household) are dual to the division in view when
 * each lies between what a unit less saves and what a unit more costs, and rises along dishes from whoever has them to whoever eats them; a
 * division then is as good exactly when it fits the same prices (complementary slackness; Rockafellar, Network Flows and Monotropic
 * Optimization, 1984). Exact.
 */
export function roomToDiffer(holding: Holding): RoomToDiffer | undefined {
  const { problem } = holding;
  const margins = marginsOf(holding);
  const price = prices(holding, margins);
  const now = holding.unitsNow();
  const units: (readonly [number, number])[] = [];
  for (const [h, { up, down, next, before }] of margins.entries()) {
    const value = price[h];
    const has = now[h] ?? 0;
    if (value !== undefined && up !== undefined && value > up) return undefined;
    units.push([value === down ? before : has, value !== undefined && value === up ? next : has]);
  }
  const priceOfDish = problem.dishes.map((_, d) => {
    const eaters = price.filter((value, h): value is bigint => problem.eats[h]?.[d] === true && value !== undefined);
    return eaters.reduce<bigint | undefined>((a, b) => (a === undefined || b < a ? b : a), undefined);
  });
  return {
    units,
    mayTake: problem.households.map((_, h) =>
      problem.lots.map((__, l) => {
        const dish = problem.dishOf[l] ?? 0;
        return holding.eats(h, l) && (holding.size[l] === 0 || price[h] === priceOfDish[dish]);
      }),
    ),
  };
}
