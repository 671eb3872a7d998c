import { byCodeUnits } from '../canonical.ts';
import type { Density } from '../quantity/density.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Unit } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { ceil, cmp, div, mul, rational, sub, zero } from '../rational.ts';

/** A price for a pack: its quantity in the pack's unit. */
export interface PackOffer {
  id: string;
  packQuantity: Rational;
  packUnit: Unit;
  priceMinor: bigint;
}

/** Whole packs of one offer that cover a need; surplus in the need's unit. */
export interface ChosenPacks<T extends PackOffer> {
  offer: T;
  packs: bigint;
  costMinor: bigint;
  surplus: Rational;
}

/** Beyond these nobody buys: a slip in a pack's size or price must not make a plan that cannot be kept or read. */
const mostPacks = 100_000n;
const mostMinor = 10n ** 12n;

/**
 * Whole packs of the one offer that covers a need at the least cost; equal costs go to the offer with the lesser id, so that the answer does not
 * depend on the order. `needed`: in `unit`, above nil; `offers`: packs of that ingredient, each above nil; `density`: where a pack is given by volume and the need by mass,
 * or the other way round. An offer of which it would take more than 100,000 packs or a million million minor units does not cover a need (our decision).
 * Gives undefined when no offer covers it. Throws `units-incompatible`, `density-missing`.
 */
export function cheapestOffer<T extends PackOffer>(
  needed: Rational,
  unit: Unit,
  offers: readonly T[],
  density?: Density,
): ChosenPacks<T> | undefined {
  const covering = offers
    .filter(({ packQuantity }) => cmp(packQuantity, zero) > 0)
    .map((offer): ChosenPacks<T> => {
      const pack = convertQuantity(offer.packQuantity, offer.packUnit, unit, density, '#/packUnit');
      const packs = ceil(div(needed, pack));
      return { offer, packs, costMinor: packs * offer.priceMinor, surplus: sub(mul(rational(packs), pack), needed) };
    })
    .filter(({ packs, costMinor }) => packs <= mostPacks && costMinor <= mostMinor);
  return covering.sort((a, b) => order(a.costMinor, b.costMinor) || byCodeUnits(a.offer.id, b.offer.id))[0];
}

const order = (a: bigint, b: bigint): number => (a < b ? -1 : a > b ? 1 : 0);
