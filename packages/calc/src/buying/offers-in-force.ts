import { addDays, formatDate, parseDate } from '../dates/civil-date.ts';

/** A seller's price for one kind of pack of an ingredient, from a day on. */
export interface DatedOffer {
  id: string;
  sellerId: string;
  ingredientId: string;
  packQuantity: string;
  packUnit: string;
  validFrom: string;
  validTo: string | null;
}

const packOf = (offer: DatedOffer): string =>
  [offer.sellerId, offer.ingredientId, offer.packQuantity, offer.packUnit].join(' ');

/**
 * The offers that hold on a day: of one seller's prices for the same pack the latest, and of two from the same day the one written later (its id, a
 * UUIDv7, is the greater), which is how a mistyped price is put right. `offers`: any order, pack quantities in lowest terms.
 */
export function offersInForce<T extends DatedOffer>(offers: readonly T[], on: string): T[] {
  const latest = new Map<string, T>();
  for (const offer of offers) {
    if (offer.validFrom > on || (offer.validTo !== null && offer.validTo < on)) continue;
    const known = latest.get(packOf(offer));
    const later =
      !known || offer.validFrom > known.validFrom || (offer.validFrom === known.validFrom && offer.id > known.id);
    if (later) latest.set(packOf(offer), offer);
  }
  return [...latest.values()];
}

/** Where a new price from a day on ends those before it, and where one that is known already for later ends it. */
export function endsAround(
  samePack: readonly DatedOffer[],
  validFrom: string,
): { end: string[]; lastDay: string; validTo: string | null } {
  const dayBefore = (date: string): string => formatDate(addDays(parseDate(date), -1));
  const end = samePack.filter(
    (offer) => offer.validFrom < validFrom && (offer.validTo === null || offer.validTo >= validFrom),
  );
  const next = samePack
    .map((offer) => offer.validFrom)
    .filter((from) => from > validFrom)
    .sort()[0];
  return {
    end: end.map(({ id }) => id),
    lastDay: dayBefore(validFrom),
    validTo: next === undefined ? null : dayBefore(next),
  };
}
