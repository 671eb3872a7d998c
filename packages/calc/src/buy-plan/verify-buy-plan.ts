import type { Rational } from '../rational.ts';
import { add, cmp, eq, isZero, min, mul, rational, sub, tryParse, zero } from '../rational.ts';
import type { BuyPlanInput, Offer } from './buy-plan-input.ts';
import { readBuyPlan } from './buy-plan-input.ts';
import type { BuyPlanOutput } from './buy-plan.ts';
import { cheaperOffer } from './verify-cheaper.ts';

/** One thing that a plan gets wrong: what, and of which offer, seller or ingredient. */
export interface BuyPlanViolation {
  code:
    | 'unknown-offer'
    | 'not-a-count'
    | 'packs-out-of-bounds'
    | 'need-not-covered'
    | 'surplus-wrong'
    | 'minimum-not-reached'
    | 'goods-wrong'
    | 'fee-wrong'
    | 'unknown-seller'
    | 'total-wrong'
    | 'stored-wrong'
    | 'bound-wrong'
    | 'could-be-cheaper'
    | 'proof-unknown';
  where?: string;
}

type Report = (code: BuyPlanViolation['code'], where?: string) => void;

const own = <T>(members: Readonly<Record<string, T>>, key: string): T | undefined =>
  Object.hasOwn(members, key) ? members[key] : undefined;

/** A number that may be longer than what is read as input; undefined when it is none. */
function numberOf(text: string | undefined): Rational | undefined {
  const [n = '', d = '1'] = (text ?? '').split('/');
  return /^-?\d+$/.test(n) && /^[1-9]\d*$/.test(d) ? rational(BigInt(n), BigInt(d)) : tryParse(text ?? '');
}

const is = (text: string | undefined, expected: Rational): boolean => {
  const found = numberOf(text);
  return found !== undefined && eq(found, expected);
};

const times = (value: Rational, count: number): Rational => mul(value, rational(BigInt(count)));
const sumOver = (offers: readonly Offer[], worth: (offer: Offer) => Rational): Rational =>
  offers.reduce((sum, offer) => add(sum, worth(offer)), zero);

function checkCounts({ offers }: BuyPlanInput, { packs }: BuyPlanOutput, report: Report): void {
  const known = new Map(offers.map((offer) => [offer.id, offer]));
  for (const [id, count] of Object.entries(packs)) {
    const offer = known.get(id);
    if (!offer) report('unknown-offer', id);
    if (!Number.isSafeInteger(count) || count <= 0) report('not-a-count', id);
    else if (offer && (count < offer.least || count > offer.most)) report('packs-out-of-bounds', id);
  }
}

/** What each need has, and what of it may be stored. Gives what the stored surplus is worth. */
function checkNeeds(input: BuyPlanInput, output: BuyPlanOutput, report: Report): Rational {
  let stored = zero;
  for (const { ingredient, quantity, storable } of input.needs) {
    const offers = input.offers.filter((offer) => offer.ingredient === ingredient);
    const over = sub(
      sumOver(offers, ({ id, pack }) => times(pack, own(output.packs, id) ?? 0)),
      quantity,
    );
    if (cmp(over, zero) < 0) report('need-not-covered', ingredient);
    const said = own(output.surplus, ingredient);
    if (isZero(over) ? said !== undefined : !is(said, over)) report('surplus-wrong', ingredient);
    if (storable && cmp(over, zero) > 0) stored = add(stored, mul(min(over, storable.upTo), storable.valuePerUnit));
  }
  const needed = new Set(input.needs.map(({ ingredient }) => ingredient));
  for (const id of Object.keys(output.surplus)) if (!needed.has(id)) report('surplus-wrong', id);
  return stored;
}

/** Goods, fees and minimum orders. Gives what all sellers get. */
function checkSellers(input: BuyPlanInput, output: BuyPlanOutput, report: Report): Rational {
  let total = zero;
  for (const { id, fee, freeFrom, minimumOrder } of input.sellers) {
    const bought = input.offers.filter((offer) => offer.seller === id && (own(output.packs, offer.id) ?? 0) > 0);
    const said = own(output.sellers, id);
    if (bought.length === 0) {
      if (said) report('goods-wrong', id);
      continue;
    }
    const goods = sumOver(bought, (offer) => times(rational(BigInt(offer.price)), own(output.packs, offer.id) ?? 0));
    const isFree = freeFrom !== undefined && goods.n >= BigInt(freeFrom);
    const due = rational(isFree ? 0n : BigInt(fee));
    if (goods.n < BigInt(minimumOrder)) report('minimum-not-reached', id);
    if (!is(said?.goods, goods)) report('goods-wrong', id);
    if (!is(said?.fee, due)) report('fee-wrong', id);
    total = add(total, add(goods, due));
  }
  const known = new Set(input.sellers.map(({ id }) => id));
  for (const id of Object.keys(output.sellers)) if (!known.has(id)) report('unknown-seller', id);
  return total;
}

/**
 * Checks a plan from its input and output alone: it shares no code with the search but the reading of the input and the arithmetic of fractions.
 * Checks: packs are whole and within each offer's bounds, every need is covered, each seller's goods, fee and minimum order, surplus, total and what
 * is stored; with `bounded` that the bound is not above the cost; with `optimal` that no pack could be left out or be another one for less (cheaperOffer).
 * That no cheaper plan exists beyond that is not checked here: it has no short proof.
 * `input`, `output`: as JSON. Gives every violation, an empty list when there is none. Throws as readBuyPlan does.
 */
export function verifyBuyPlan(input: unknown, output: BuyPlanOutput): BuyPlanViolation[] {
  const problem = readBuyPlan(input);
  const violations: BuyPlanViolation[] = [];
  const report: Report = (code, where) => void violations.push({ code, ...(where === undefined ? {} : { where }) });
  checkCounts(problem, output, report);
  // With counts that are none, nothing below can be computed.
  if (violations.some(({ code }) => code === 'not-a-count')) return violations;
  const stored = checkNeeds(problem, output, report);
  const total = checkSellers(problem, output, report);
  if (!is(output.total, total)) report('total-wrong');
  if (isZero(stored) ? output.stored !== undefined : !is(output.stored, stored)) report('stored-wrong');
  if (output.proof !== 'optimal' && output.proof !== 'bounded') report('proof-unknown');
  const atLeast = numberOf(output.atLeast);
  const isBoundSound =
    output.proof === 'bounded'
      ? atLeast !== undefined && cmp(atLeast, sub(total, stored)) <= 0
      : output.atLeast === undefined;
  if (!isBoundSound) report('bound-wrong');
  if (output.proof === 'optimal' && violations.length === 0) {
    const where = cheaperOffer(problem, new Map(Object.entries(output.packs)));
    if (where !== undefined) report('could-be-cheaper', where);
  }
  return violations;
}
