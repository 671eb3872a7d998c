import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import type { BuyPlanInput, Offer } from '../buy-plan/buy-plan-input.ts';
import { planPacks } from '../buy-plan/buy-plan.ts';
import type { BuyPlan } from '../buy-plan/buy-plan.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Measures } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { add, ceil, cmp, div, min, mul, parse, rational, sub, zero } from '../rational.ts';
import { countedIn } from '../recipes/dish-needs.ts';
import type { KeptIngredient } from '../recipes/dish-needs.ts';
import { offersInForce } from './offers-in-force.ts';
import type { PlannedPurchase, PricedOffer } from './round-plan.ts';
import { feesOf, packUnitOf, planPurchases } from './round-plan.ts';

/** What a seller asks beside its prices, minor units. */
export interface SellerTerms {
  id: string;
  feeMinor: bigint;
  /** goods from which the fee is waived; null: never */
  freeFromMinor: bigint | null;
  /** the least that goods must come to */
  minimumMinor: bigint;
}

/** An offer that is for at least and at most so many packs. */
export interface LimitedOffer extends PricedOffer {
  minPacks: number | null;
  maxPacks: number | null;
}

/** What a round buys and what that costs. */
export interface SellerPlan<T extends LimitedOffer> {
  lines: PlannedPurchase<T>[];
  /** ingredients that no offers cover */
  withoutOffer: string[];
  /** seller to its fee, of those that something is bought from */
  fees: Map<string, bigint>;
  /** goods and fees */
  totalMinor: bigint;
  /** `single`: without regard to fees, where the whole cannot be reckoned with */
  proof: 'optimal' | 'bounded' | 'single';
}

/** Beyond these nobody buys: a slip in a pack's size or price must not make a plan that cannot be kept or read. */
const mostPacks = 100_000n;
const mostMinor = 10_000_000_000n;
const mostSellers = 30;

interface Priced<T extends LimitedOffer> {
  full: T;
  pack: Rational;
}
interface Need<T extends LimitedOffer> {
  ingredientId: string;
  needed: Rational;
  baseUnit: string;
  offers: Priced<T>[];
}

function coversAlone({ pack, full }: Priced<LimitedOffer>, needed: Rational): boolean {
  const packs = ceil(div(needed, pack));
  return packs <= mostPacks && packs * full.priceMinor <= mostMinor;
}

/** Whether all packs together are enough. */
function isCovered({ needed, offers }: Need<LimitedOffer>): boolean {
  if (offers.some(({ full }) => full.maxPacks === null)) return true;
  const all = offers.reduce((sum, { pack, full }) => add(sum, mul(pack, rational(BigInt(full.maxPacks ?? 0)))), zero);
  return cmp(all, needed) >= 0;
}

function needsWith<T extends LimitedOffer>(
  needs: ReadonlyMap<string, Rational>,
  ingredients: ReadonlyMap<string, KeptIngredient>,
  offers: readonly T[],
  measures: Measures,
): Need<T>[] {
  return [...needs]
    .sort(([a], [b]) => byCodeUnits(a, b))
    .map(([ingredientId, needed]): Need<T> => {
      const ingredient = ingredients.get(ingredientId);
      const mine = ingredient ? offers.filter((offer) => offer.ingredientId === ingredientId) : [];
      const unit = countedIn(ingredient?.baseUnit ?? 'g');
      const priced = mine
        .map((full) => ({
          full,
          pack: convertQuantity(
            parse(full.packQuantity),
            packUnitOf(full.packUnit, measures),
            unit,
            ingredient?.density,
          ),
        }))
        .filter((offer) => cmp(offer.pack, zero) > 0 && coversAlone(offer, needed));
      return { ingredientId, needed, baseUnit: ingredient?.baseUnit ?? 'g', offers: priced };
    });
}

const limited = ({ full, pack }: Priced<LimitedOffer>): Offer => ({
  id: full.id,
  seller: full.sellerId,
  ingredient: full.ingredientId,
  pack,
  price: Number(full.priceMinor),
  least: Math.max(1, full.minPacks ?? 1),
  most: full.maxPacks ?? Infinity,
});

function buyPlanInput(needs: readonly Need<LimitedOffer>[], terms: readonly SellerTerms[]): BuyPlanInput {
  const offers = needs.flatMap((need) => need.offers.map(limited));
  const used = new Set(offers.map(({ seller }) => seller));
  return {
    currency: 'XXX',
    needs: needs.map(({ ingredientId, needed, baseUnit }, at) => ({
      at,
      ingredient: ingredientId,
      quantity: needed,
      unit: countedIn(baseUnit),
    })),
    sellers: terms
      .filter(({ id }) => used.has(id))
      .map(({ id, feeMinor, freeFromMinor, minimumMinor }) => ({
        id,
        fee: Number(feeMinor),
        minimumOrder: Number(minimumMinor),
        ...(freeFromMinor === null ? {} : { freeFrom: Number(freeFromMinor) }),
      }))
      .sort((a, b) => byCodeUnits(a.id, b.id)),
    offers: offers.sort((a, b) => byCodeUnits(a.id, b.id)),
  };
}

/** The packs as lines; of an ingredient from several offers each line has the part of the need that its packs cover, the largest packs first. */
function linesOf<T extends LimitedOffer>(needs: readonly Need<T>[], { packs }: BuyPlan): PlannedPurchase<T>[] {
  return needs.flatMap(({ ingredientId, needed, offers }) => {
    const chosen = offers
      .flatMap(({ full, pack }) => {
        const count = packs.get(full.id) ?? 0;
        return count > 0 ? [{ full, count, bought: mul(pack, rational(BigInt(count))) }] : [];
      })
      .sort((a, b) => cmp(b.bought, a.bought) || byCodeUnits(a.full.id, b.full.id));
    let open = needed;
    return chosen.map(({ full, count, bought }): PlannedPurchase<T> => {
      const part = min(open, bought);
      open = sub(open, part);
      return {
        offer: full,
        ingredientId,
        packs: BigInt(count),
        plannedMinor: BigInt(count) * full.priceMinor,
        needed: part,
        surplus: sub(bought, part),
      };
    });
  });
}

const sumOf = (amounts: Iterable<bigint>): bigint => [...amounts].reduce((a, b) => a + b, 0n);

/** Each ingredient by itself, the rule for what is beyond the search. */
function singly<T extends LimitedOffer>(
  needs: readonly Need<T>[],
  offers: readonly T[],
  given: Given<T>,
): SellerPlan<T> {
  const wanted = new Map(needs.map(({ ingredientId, needed }) => [ingredientId, needed]));
  const { lines, withoutOffer } = planPurchases(wanted, given.ingredients, offers, given.on, given.measures);
  const fees = dueFees(lines, given.terms);
  const totalMinor = sumOf(lines.map(({ plannedMinor }) => plannedMinor)) + sumOf(fees.values());
  return { lines, withoutOffer, fees, totalMinor, proof: 'single' };
}

/** The fee of each seller that something is bought from, nil where its goods reach what it waives the fee from. */
export function dueFees(
  lines: readonly { offer: { sellerId: string }; plannedMinor: bigint }[],
  terms: readonly SellerTerms[],
): Map<string, bigint> {
  const goods = new Map<string, bigint>();
  for (const { offer, plannedMinor } of lines) {
    goods.set(offer.sellerId, (goods.get(offer.sellerId) ?? 0n) + plannedMinor);
  }
  const due = terms.map(({ id, feeMinor, freeFromMinor }) => {
    const isFree = freeFromMinor !== null && (goods.get(id) ?? 0n) >= freeFromMinor;
    return [id, isFree ? 0n : feeMinor] as const;
  });
  return feesOf(lines, new Map(due));
}

interface Given<T extends LimitedOffer> {
  needs: ReadonlyMap<string, Rational>;
  ingredients: ReadonlyMap<string, KeptIngredient>;
  offers: readonly T[];
  terms: readonly SellerTerms[];
  on: string;
  measures: Measures;
}

/** The plan over these sellers; undefined where a minimum order that cannot be reached stands in the way. */
function planOver<T extends LimitedOffer>(given: Given<T>, without: ReadonlySet<string>): SellerPlan<T> | undefined {
  const inForce = offersInForce(given.offers, given.on).filter(({ sellerId }) => !without.has(sellerId));
  const needs = needsWith(given.needs, given.ingredients, inForce, given.measures);
  const covered = needs.filter((need) => isCovered(need) && need.offers.length > 0);
  const withoutOffer = needs.filter((need) => !covered.includes(need)).map(({ ingredientId }) => ingredientId);
  if (covered.length === 0) return { lines: [], withoutOffer, fees: new Map(), totalMinor: 0n, proof: 'optimal' };
  const input = buyPlanInput(covered, given.terms);
  if (input.sellers.length > mostSellers) return { ...singly(covered, inForce, given), withoutOffer };
  try {
    const plan = planPacks(input);
    const fees = new Map([...plan.sellers].map(([id, { feeMinor }]) => [id, feeMinor]));
    return { lines: linesOf(covered, plan), withoutOffer, fees, totalMinor: plan.totalMinor, proof: plan.proof };
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    if (error.code === 'no-offer') return undefined;
    if (error.code !== 'too-large') throw error;
    const single = singly(covered, inForce, given);
    return { ...single, withoutOffer: [...withoutOffer, ...single.withoutOffer].sort(byCodeUnits) };
  }
}

/**
 * What to buy for a round from all sellers together, at the least cost: goods and fees, with thresholds and minimum orders. Method: `buy-plan` (planPacks) over the
 * offers that hold on the day; ingredients that no offers cover are named and left out. Sellers with a minimum order that cannot be reached are left out; what cannot be
 * reckoned with exactly is bought for each ingredient by itself (planPurchases). Our decision (ADR 45).
 * `needs`: ingredient to quantity in its base unit; `offers`: any, of which those in force on `on` count; `without`: sellers that are left out. Lines sorted by ingredient id.
 */
export function planOverSellers<T extends LimitedOffer>(
  given: Given<T>,
  without: Iterable<string> = [],
): SellerPlan<T> {
  const left = new Set(without);
  const plan = planOver(given, left);
  if (plan) return plan;
  const minimums = given.terms.filter(({ minimumMinor }) => minimumMinor > 0n).map(({ id }) => id);
  return planOver(given, new Set([...left, ...minimums])) ?? singly([], [], given);
}

/** The cheapest plan without one of the sellers, and what each seller alone has. */
export interface NextBest {
  /** of the plan without this seller, the cheapest such; null when each of them has something that nobody else has */
  next: { without: string; sellers: string[]; totalMinor: bigint } | null;
  /** seller to the ingredients of the plan that only it can supply */
  only: Map<string, string[]>;
}

/**
 * Why a plan is the cheapest: what it would cost to leave out one of its sellers, the cheapest such plan, and what cannot be had without a seller.
 * Method: planOverSellers once for each seller of the plan. Equal costs by the lesser id. Minor units.
 */
export function nextBest<T extends LimitedOffer>(given: Given<T>, plan: SellerPlan<T>): NextBest {
  const only = new Map<string, string[]>();
  let next: NextBest['next'] = null;
  for (const id of [...plan.fees.keys()].sort(byCodeUnits)) {
    const other = planOverSellers(given, [id]);
    const missing = other.withoutOffer.filter((ingredient) => !plan.withoutOffer.includes(ingredient));
    if (missing.length > 0) only.set(id, missing);
    else if (next === null || other.totalMinor < next.totalMinor) {
      next = { without: id, sellers: [...other.fees.keys()].sort(byCodeUnits), totalMinor: other.totalMinor };
    }
  }
  return { next, only };
}
