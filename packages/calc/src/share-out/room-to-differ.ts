import type { Holding } from './holding.ts';
import { ceilDiv, floorDiv } from './scale.ts';

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

/** The price of a unit in each household: what it would cost a household that can be reached from others to give one up, at most. */
function prices(holding: Holding): (bigint | undefined)[] {
  const { problem, sizeFactor: unit, deviation, size } = holding;
  const gives = problem.households.map((_, h) =>
    problem.dishes.map((__, d) =>
      problem.lots.some((___, l) => problem.dishOf[l] === d && (size[l] ?? 0) > 0 && holding.movable(h, l) > 0),
    ),
  );
  const price = gives.map((row, h) => (row.includes(true) ? 2n * (deviation[h] ?? 0n) - unit : undefined));
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
 * Whether no division of the containers can have a lesser sum of squared deviations, shown by cutting every container into units: if even those could not be
 * divided better, containers cannot. Gives everything that is exactly as good, or undefined when units could be divided better.
 * Method: the units that households can have form the bases of an integral polymatroid, so a division of units is the best as soon as no unit can be
 * moved, along dishes that one has and the next eats, from one household to another for the better (the optimality criterion of M-convex
 * functions; Murota, Discrete Convex Analysis, 2003). The prices are an optimal dual solution, so by complementary slackness a division of units is as good exactly when each household's
 * number of units has its price among its marginal costs and dishes go only to households whose price is that of the dish. Exact.
 */
export function roomToDiffer(holding: Holding): RoomToDiffer | undefined {
  const { problem, sizeFactor: unit, deviation } = holding;
  const price = prices(holding);
  const units: (readonly [number, number])[] = [];
  const now = holding.unitsNow();
  for (let h = 0; h < price.length; h++) {
    const value = price[h];
    const off = 2n * (deviation[h] ?? 0n);
    const has = now[h] ?? 0;
    const spare = holding.unitsToLimit(h);
    if (value === undefined) units.push([has, has]);
    else if (value > off + unit) {
      // Another unit would cost it less than its price; only a freezer that is full to the last unit excuses that.
      if (spare > 0) return undefined;
      units.push([has, has]);
    } else {
      const least = Math.max(-holding.movableUnits(h), Number(ceilDiv(value - off - unit, 2n * unit)));
      const most = Math.min(spare, Math.max(least, Number(floorDiv(value - off + unit, 2n * unit))));
      units.push([has + least, has + most]);
    }
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
