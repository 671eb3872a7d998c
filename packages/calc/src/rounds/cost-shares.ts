import type { Rational } from '../rational.ts';
import { cmp, parse, zero } from '../rational.ts';

export interface WhoEats {
  householdId: string;
  /** headcount weight, rational text */
  weight: string;
  /** allergen and diet ids that somebody of it must not eat */
  mustNot: readonly string[];
}

/** A dish of the round with what goes into it, however deep. */
export interface DishMadeOf {
  unfitFor: readonly string[];
  ingredients: ReadonlySet<string>;
}

/** Whether a household may eat what is unfit for these. */
export const mayEat = (mustNot: readonly string[], unfitFor: readonly string[]): boolean =>
  !mustNot.some((subject) => unfitFor.includes(subject));

/**
 * Who shares the cost of something bought, by headcount weight.
 * Our decision: an ingredient is paid by the households that may eat at least one of the dishes it goes into; what goes into no dish (a fee, foil), or only
 * into dishes that nobody may eat, is paid by all. `ingredientId`: null for what is no ingredient. Gives household to weight, all above nil.
 */
export function costShares(
  ingredientId: string | null,
  dishes: readonly DishMadeOf[],
  participants: readonly WhoEats[],
): Map<string, Rational> {
  const eating = participants.filter(({ weight }) => cmp(parse(weight), zero) > 0);
  const madeOfIt = dishes.filter(({ ingredients }) => ingredientId !== null && ingredients.has(ingredientId));
  const eaters = eating.filter(({ mustNot }) => madeOfIt.some(({ unfitFor }) => mayEat(mustNot, unfitFor)));
  const paying = eaters.length > 0 ? eaters : eating;
  return new Map(paying.map(({ householdId, weight }) => [householdId, parse(weight)]));
}
