import { byCodeUnits } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { div, isZero, mul, sum, zero } from '../rational.ts';
import type { ShareOutInput } from './share-out-input.ts';
import type { ShareOut } from './share-out.ts';

/** Why a household gets what it gets, as the numbers of one sum; the screens make the sentence. */
export interface ShareOutExplanation {
  household: string;
  weight: Rational;
  totalWeight: Rational;
  /** portions that at least one household may eat */
  totalPortions: Rational;
  /** totalPortions x weight / totalWeight: what the weight alone gives */
  weightShare: Rational;
  /** what the weight gives when everybody eats only what they may */
  entitlement: Rational;
  /** weightShare - entitlement where no division can give more */
  short: Rational;
  owedBefore: Rational;
  /** entitlement + owedBefore */
  target: Rational;
  received: Rational;
  /** target - received */
  owedAfter: Rational;
  containers: number;
  /** the largest container of the round: rounding alone cannot leave more open than this */
  largestContainer: Rational;
  dishes: { dish: string; containers: number; portions: Rational }[];
  /** dishes of this round that it may not eat, and ones that it would rather not have but has */
  mayNotEat: string[];
  dislikedButGiven: string[];
}

/**
 * One explanation for each household of a share-out, sorted by id.
 * Method: sums and products of the input and the result only, nothing is divided anew. `result`: of shareContainers; `input`: what it was made
 * from. Gives numbers and ids, no words.
 */
export function explainShareOut(result: ShareOut, input: ShareOutInput): ShareOutExplanation[] {
  const lots = new Map(input.lots.map((lot) => [lot.id, lot]));
  const dishes = [...new Set(input.lots.map(({ dish }) => dish))].sort(byCodeUnits);
  const totalWeight = sum(input.households.map(({ weight }) => weight));
  const worth = (lotId: string, count: number): Rational => {
    const lot = lots.get(lotId);
    return lot ? mul({ n: BigInt(count), d: 1n }, mul(lot.portions, lot.counts)) : zero;
  };
  const totalPortions = sum(
    input.lots
      .filter(({ dish }) => input.households.some(({ excludes }) => !excludes.has(dish)))
      .map(({ id, containers }) => worth(id, containers)),
  );
  const largestContainer = input.lots
    .filter(({ containers }) => containers > 0)
    .map(({ id }) => worth(id, 1))
    .reduce((a, b) => (a.n * b.d >= b.n * a.d ? a : b), zero);
  const of = (values: ReadonlyMap<string, Rational>, id: string): Rational => values.get(id) ?? zero;
  return [...input.households]
    .sort((a, b) => byCodeUnits(a.id, b.id))
    .map((household) => {
      const { id, weight } = household;
      const mine = [...(result.containers.get(id) ?? [])];
      const byDish = dishes.flatMap((dish) => {
        const theirs = mine.filter(([lotId]) => lots.get(lotId)?.dish === dish);
        if (theirs.length === 0) return [];
        const containers = theirs.reduce((count, [, n]) => count + n, 0);
        return [{ dish, containers, portions: sum(theirs.map(([lotId, n]) => worth(lotId, n))) }];
      });
      return {
        household: id,
        weight,
        totalWeight,
        totalPortions,
        weightShare: isZero(totalWeight) ? zero : div(mul(totalPortions, weight), totalWeight),
        entitlement: of(result.entitlement, id),
        short: of(result.short, id),
        owedBefore: household.owed,
        target: of(result.target, id),
        received: of(result.received, id),
        owedAfter: of(result.owedAfter, id),
        containers: mine.reduce((count, [, n]) => count + n, 0),
        largestContainer,
        dishes: byDish,
        mayNotEat: dishes.filter((dish) => household.excludes.has(dish)),
        dislikedButGiven: byDish.map(({ dish }) => dish).filter((dish) => household.refuses.has(dish)),
      };
    });
}
