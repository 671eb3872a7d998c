import { largestRemainder } from '../allocation/largest-remainder.ts';
import type { Rational } from '../rational.ts';
import { add, isZero, mul, rational, round, sum, zero } from '../rational.ts';

export interface DishCostInput {
  /** What is paid for each ingredient in whole packs, minor units; null: it has no offer. */
  goodsMinor: ReadonlyMap<string, bigint | null>;
  feesMinor: bigint;
  dishes: readonly {
    id: string;
    portions: number;
    /** as purchased, in one unit per ingredient */
    needs: ReadonlyMap<string, Rational>;
  }[];
}

/**
 * What each dish costs, exact: of every ingredient the part that the dish takes of all that the round takes, of the fees the part that its portions
 * are of all portions. Surplus of whole packs is thereby paid by the dishes that need the ingredient. Our decision.
 * Gives dish to minor units (null when one of its ingredients has no price); the figures sum to goods and fees when none is null.
 */
export function dishCosts({ goodsMinor, feesMinor, dishes }: DishCostInput): Map<string, Rational | null> {
  const totals = new Map<string, Rational>();
  for (const { needs } of dishes) {
    for (const [ingredient, quantity] of needs) totals.set(ingredient, add(totals.get(ingredient) ?? zero, quantity));
  }
  const portions = dishes.reduce((total, dish) => total + BigInt(dish.portions), 0n);
  return new Map(
    dishes.map((dish) => {
      const fee = portions === 0n ? zero : rational(feesMinor * BigInt(dish.portions), portions);
      const parts = [...dish.needs].map(([ingredient, quantity]): Rational | null => {
        const total = totals.get(ingredient) ?? zero;
        if (isZero(total)) return zero;
        const price = goodsMinor.get(ingredient) ?? null;
        return price === null ? null : mul(rational(price * total.d, total.n), quantity);
      });
      const priced = parts.filter((part) => part !== null);
      return [dish.id, priced.length < parts.length ? null : add(fee, sum(priced))];
    }),
  );
}

/**
 * The costs of the dishes in whole minor units that sum to what they sum to, by largest remainder; where one is unknown each is rounded by itself.
 * `exact`: from dishCosts; `seed`: any text, for equal remainders.
 */
export function wholeDishCosts(exact: ReadonlyMap<string, Rational | null>, seed: string): Map<string, bigint | null> {
  const known = new Map([...exact].flatMap(([id, cost]) => (cost === null ? [] : [[id, cost] as const])));
  const total = sum(known.values());
  if (known.size < exact.size || total.d !== 1n) {
    return new Map([...exact].map(([id, cost]) => [id, cost === null ? null : round(cost)]));
  }
  return new Map(largestRemainder(known, total.n, seed));
}
