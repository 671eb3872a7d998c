import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { findUnit } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { parse } from '../rational.ts';
import { countedIn } from '../recipes/dish-needs.ts';
import type { KeptIngredient } from '../recipes/dish-needs.ts';
import type { PackOffer } from './cheapest-offer.ts';
import { cheapestOffer } from './cheapest-offer.ts';
import type { DatedOffer } from './offers-in-force.ts';
import { offersInForce } from './offers-in-force.ts';

export interface PricedOffer extends DatedOffer {
  priceMinor: bigint;
}

/** Whole packs of one offer for one ingredient of a round; needed and surplus in the ingredient's base unit. */
export interface PlannedPurchase<T extends PricedOffer> {
  offer: T;
  ingredientId: string;
  packs: bigint;
  plannedMinor: bigint;
  needed: Rational;
  surplus: Rational;
}

/** The unit of an offer's pack. Throws `unknown-unit`. */
export function packUnitOf(name: string, measures: Measures): Unit {
  const unit = findUnit(name, measures);
  if (!unit) throw new DomainError('unknown-unit', `There is no unit "${name}".`);
  return unit;
}

/**
 * What to buy for a round: for each ingredient the one offer that covers it at the least cost on the day, and the ingredients without any.
 * Method: cheapestOffer for each by itself; fees and thresholds of sellers do not sway the choice in this version (our decision).
 * `needs`: ingredient to quantity in its base unit; `ingredients`: all of them; `offers`: any; `on`: ISO 8601 date. Lines sorted by ingredient id.
 */
export function planPurchases<T extends PricedOffer>(
  needs: ReadonlyMap<string, Rational>,
  ingredients: ReadonlyMap<string, KeptIngredient>,
  offers: readonly T[],
  on: string,
  measures: Measures,
): { lines: PlannedPurchase<T>[]; withoutOffer: string[] } {
  const inForce = offersInForce(offers, on);
  const lines: PlannedPurchase<T>[] = [];
  const withoutOffer: string[] = [];
  for (const [ingredientId, needed] of [...needs].sort(([a], [b]) => byCodeUnits(a, b))) {
    const ingredient = ingredients.get(ingredientId);
    const packs = inForce
      .filter((offer) => offer.ingredientId === ingredientId)
      .map((offer): PackOffer & { full: T } => ({
        id: offer.id,
        packQuantity: parse(offer.packQuantity),
        packUnit: packUnitOf(offer.packUnit, measures),
        priceMinor: offer.priceMinor,
        full: offer,
      }));
    const best = ingredient && cheapestOffer(needed, countedIn(ingredient.baseUnit), packs, ingredient.density);
    if (!best) withoutOffer.push(ingredientId);
    else {
      const { offer, costMinor, surplus } = best;
      lines.push({ offer: offer.full, ingredientId, packs: best.packs, plannedMinor: costMinor, needed, surplus });
    }
  }
  return { lines, withoutOffer };
}

/** The fees of the sellers from whom something is bought, each once. */
export function feesOf(
  lines: readonly { offer: { sellerId: string } }[],
  feeMinorOf: ReadonlyMap<string, bigint>,
): Map<string, bigint> {
  const sellers = [...new Set(lines.map(({ offer }) => offer.sellerId))].sort(byCodeUnits);
  return new Map(sellers.map((id) => [id, feeMinorOf.get(id) ?? 0n]));
}
