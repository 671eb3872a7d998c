import type { Holding } from './holding.ts';

/** The household that is furthest under its target among those who eat this lot and have room for it. */
function takerFor(holding: Holding, l: number, except?: number): number | undefined {
  const under = (h: number): bigint => holding.deviation[h] ?? 0n;
  return holding.problem.households
    .map((_, h) => h)
    .filter((h) => h !== except && holding.eats(h, l) && holding.hasRoom(h, [l]))
    .reduce<number | undefined>((best, h) => (best === undefined || under(h) < under(best) ? h : best), undefined);
}

/** Lots by size of their containers, the largest first: the fewest moves make the most room. */
const bySize = (holding: Holding): number[] => {
  const ml = (l: number): number => holding.problem.lots[l]?.containerMl ?? 0;
  return holding.problem.lots.map((_, l) => l).sort((a, b) => ml(b) - ml(a));
};

/**
 * Takes containers from households whose freezers would overflow and gives them to whoever is furthest under target and has room; what fits
 * nowhere stays unallotted. Containers that a household held before stay with it. The bound on deviations does not hold for a household
 * whose freezer is too small for its target, nor for those who take what it cannot store.
 */
export function fitFreezers(holding: Holding): void {
  const order = bySize(holding);
  for (let h = 0; h < holding.problem.households.length; h++) {
    while (holding.isOverfull(h)) {
      const mine = order.filter((l) => holding.movable(h, l) > 0);
      const l = mine.find((lot) => takerFor(holding, lot, h) !== undefined) ?? mine[0];
      if (l === undefined) break;
      holding.move([l], h, takerFor(holding, l, h));
    }
  }
}

/** Gives every container that nobody has to somebody who may eat it and has room, the one furthest under target first. */
export function allotSpare(holding: Holding): void {
  for (const l of bySize(holding)) {
    while ((holding.spare[l] ?? 0) > 0) {
      const taker = takerFor(holding, l);
      if (taker === undefined) break;
      holding.move([l], undefined, taker);
    }
  }
}
