import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import type { InputFault } from '../domain-error.ts';
import type { Of } from '../input.ts';
import {
  distinctIds,
  id,
  integer,
  invalidInput,
  list,
  minorUnits,
  notNegative,
  optional,
  positive,
  readInput,
  record,
  text,
} from '../input.ts';
import { digitsOf } from '../money/minor-units.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Density } from '../quantity/density.ts';
import { densityChoice } from '../quantity/density.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { findUnit, measuresChoice, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';

/** How much of an ingredient is needed, in the need's own unit; what may be kept of more than that, and what a unit of it is worth in minor units. */
export interface Need {
  /** its place in the input, for pointers */
  at: number;
  ingredient: string;
  quantity: Rational;
  unit: Unit;
  storable?: { upTo: Rational; valuePerUnit: Rational };
}

/** Who sells: the fee of buying there at all, the goods from which it is waived, and the least that goods must come to. Minor units. */
export interface Seller {
  id: string;
  fee: number;
  freeFrom?: number;
  minimumOrder: number;
}

/** A price for a pack, its quantity in the unit of the need; if any are bought then `least` to `most` packs, Infinity for no limit. */
export interface Offer {
  id: string;
  seller: string;
  ingredient: string;
  pack: Rational;
  price: number;
  least: number;
  most: number;
}

/** Each list sorted by id, so that nothing below depends on the order in which it was given. */
export interface BuyPlanInput {
  currency: string;
  needs: readonly Need[];
  sellers: readonly Seller[];
  /** without those of ingredients that nobody needs */
  offers: readonly Offer[];
}

/** Above this an amount cannot be added up exactly in a search; ten thousand millions of minor units. */
const greatestMinor = 10_000_000_000n;
const greatestPacks = 100_000;
/** The search keeps sets of sellers as bits of one whole number. */
const mostSellers = 30;

const money = minorUnits({ atLeast: 0n });
const need = record({
  ingredient: id(),
  quantity: positive(),
  unit: unitName,
  storable: optional(record({ upTo: notNegative(), valuePerUnit: notNegative() })),
  density: optional(densityChoice),
});
const seller = record({ id: id(), fee: money, freeFrom: optional(money), minimumOrder: optional(money) });
const offer = record({
  id: id(),
  seller: id(),
  ingredient: id(),
  pack: positive(),
  unit: unitName,
  price: money,
  minPacks: optional(integer(0, greatestPacks)),
  maxPacks: optional(integer(0, greatestPacks)),
});
const shape = record({
  currency: text(3),
  needs: distinctIds(list(need, { longest: 2000 }), ({ ingredient }) => ingredient, 'ingredient'),
  sellers: distinctIds(list(seller, { longest: mostSellers }), (member) => member.id),
  offers: distinctIds(list(offer, { longest: 20_000 }), (member) => member.id),
  measures: measuresChoice,
});

type Raw = Of<typeof shape>;
type RawOffer = Raw['offers'][number];
interface KnownNeed extends Need {
  density?: Density;
}

class Faults {
  readonly all: InputFault[] = [];

  add(pointer: string, detail: string, code?: string): void {
    if (this.all.length < 100) this.all.push({ pointer, detail, ...(code ? { code } : {}) });
  }

  unit(name: string, measures: Measures, pointer: string): Unit | undefined {
    const unit = findUnit(name, measures);
    if (!unit) this.add(pointer, `There is no unit "${name}" among ${measures} measures.`, 'unknown-unit');
    return unit;
  }

  minor(amount: bigint | undefined, pointer: string): number {
    if (amount !== undefined && amount > greatestMinor) this.add(pointer, `Must be at most ${greatestMinor}.`);
    return Number(amount ?? 0n);
  }
}

function checkCurrency(currency: string, faults: Faults): void {
  try {
    digitsOf(currency);
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    for (const { pointer, detail } of error.errors) faults.add(pointer, detail);
  }
}

function readNeeds({ needs, measures }: Raw, faults: Faults): KnownNeed[] {
  return needs.flatMap((raw, index) => {
    const unit = faults.unit(raw.unit, measures, `#/needs/${index}/unit`);
    return unit ? [{ ...raw, unit, at: index }] : [];
  });
}

/** The pack in the unit of the need. A fault of the units is told at the offer. */
function packIn(need: KnownNeed, pack: Rational, unit: Unit, pointer: string, faults: Faults): Rational | undefined {
  try {
    return convertQuantity(pack, unit, need.unit, need.density, pointer);
  } catch (error) {
    if (!(error instanceof DomainError) || error.errors.length === 0) throw error;
    for (const fault of error.errors) faults.add(fault.pointer, fault.detail, error.code);
    return undefined;
  }
}

function readOffer(
  raw: RawOffer,
  index: number,
  measures: Measures,
  need: KnownNeed | undefined,
  faults: Faults,
): Offer[] {
  const at = `#/offers/${index}`;
  const price = faults.minor(raw.price, `${at}/price`);
  const { minPacks = 0, maxPacks } = raw;
  if (maxPacks !== undefined && maxPacks < minPacks) {
    faults.add(`${at}/maxPacks`, 'Must not be less than minPacks.');
  }
  const unit = faults.unit(raw.unit, measures, `${at}/unit`);
  if (!need || !unit) return [];
  const pack = packIn(need, raw.pack, unit, `${at}/unit`, faults);
  if (!pack) return [];
  const { id: offerId, seller: sellerId, ingredient } = raw;
  return [
    {
      id: offerId,
      seller: sellerId,
      ingredient,
      pack,
      price,
      least: Math.max(1, minPacks),
      most: maxPacks ?? Infinity,
    },
  ];
}

/**
 * Reads the JSON of a buy-plan: `{currency, needs: [{ingredient, quantity, unit, storable?: {upTo, valuePerUnit}, density?}], sellers: [{id, fee, freeFrom?,
 * minimumOrder?}], offers: [{id, seller, ingredient, pack, unit, price, minPacks?, maxPacks?}], measures?}`; packs are turned into the unit of the need.
 * An offer of something that nobody needs is passed over. Throws `invalid-input` (or the code that all faults share: `unknown-unit`,
 * `units-incompatible`, `density-missing`, `duplicate-id`) with every fault and its pointer.
 */
export function readBuyPlan(given: unknown): BuyPlanInput {
  const raw = readInput(shape, given);
  const faults = new Faults();
  checkCurrency(raw.currency, faults);
  const needs = readNeeds(raw, faults);
  const needOf = new Map(needs.map((each) => [each.ingredient, each]));
  const sellers = raw.sellers.map(({ id: sellerId, fee, freeFrom, minimumOrder }, index): Seller => {
    const at = `#/sellers/${index}`;
    return {
      id: sellerId,
      fee: faults.minor(fee, `${at}/fee`),
      minimumOrder: faults.minor(minimumOrder, `${at}/minimumOrder`),
      ...(freeFrom === undefined ? {} : { freeFrom: faults.minor(freeFrom, `${at}/freeFrom`) }),
    };
  });
  const known = new Set(raw.sellers.map((each) => each.id));
  raw.offers.forEach(({ seller: sellerId }, index) => {
    if (!known.has(sellerId)) faults.add(`#/offers/${index}/seller`, `There is no seller "${sellerId}".`);
  });
  const offers = raw.offers.flatMap((each, index) =>
    readOffer(each, index, raw.measures, needOf.get(each.ingredient), faults),
  );
  if (faults.all.length > 0) throw invalidInput(faults.all);
  return {
    currency: raw.currency,
    needs: needs
      .map(({ at, ingredient, quantity, unit, storable }) => ({ at, ingredient, quantity, unit, storable }))
      .sort((a, b) => byCodeUnits(a.ingredient, b.ingredient)),
    sellers: sellers.sort((a, b) => byCodeUnits(a.id, b.id)),
    offers: offers.filter(({ most }) => most > 0).sort((a, b) => byCodeUnits(a.id, b.id)),
  };
}
