import type { Holding } from './holding.ts';

/**
 * What wishes cost: each counts only where those before are equal, since what two households exchange at once changes the later ones by far less than one of
 * the earlier counts. Only where two have a thousand containers outside of their fair shares, or scores of many millions, could it be otherwise; whoever proves
 * a stage therefore looks at its value itself.
 */
const refusedCost = 1_000_000_000_000;
const outsideCost = 1_000_000_000;

/** What it costs each household to have so many containers of a dish, kept by household and dish. */
export class WishCosts {
  private readonly holding: Holding;
  /** ofContainer[household][dish]: of one container, its fair share apart */
  private readonly ofContainer: number[][];

  constructor(holding: Holding) {
    const { households, dishes } = holding.problem;
    this.holding = holding;
    this.ofContainer = households.map(({ refuses, scores }) =>
      dishes.map((dish) => (refuses.has(dish) ? refusedCost : 0) - (scores.get(dish) ?? 0)),
    );
  }

  of(h: number, dish: number, count: number): number {
    const [least, most] = this.holding.fair[h]?.[dish] ?? [0, 0];
    return count * (this.ofContainer[h]?.[dish] ?? 0) + outsideCost * Math.max(0, least - count, count - most);
  }
}
