import { DomainError } from '../domain-error.ts';
import type { InputFault } from '../domain-error.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { add, ceil, div, isZero, mul, rational } from '../rational.ts';
import type { BuyPlanInput, Need, Offer } from './buy-plan-input.ts';
import type { PackChoice } from './covering.ts';

/** An offer in whole numbers: its size in the ingredient's step, its cost in the ingredient's scale. */
export interface PackOption extends PackChoice {
  readonly id: string;
  /** place in BuyProblem.sellers */
  readonly seller: number;
  /** minor units */
  readonly price: number;
}

/**
 * A need in whole numbers. Sizes count in the greatest step that all packs are multiples of; costs are minor units times `scale`, so that what a
 * stored surplus is worth is whole as well: `perStep` x size - `offset`, at most `mostValue`, for sizes of at least `needed`.
 */
export interface Ingredient {
  readonly id: string;
  readonly options: readonly PackOption[];
  readonly needed: number;
  /** more than this is worth no more */
  readonly cap: number;
  readonly scale: number;
  readonly perStep: number;
  readonly offset: number;
  readonly mostValue: number;
}

export interface ProblemSeller {
  readonly id: string;
  readonly fee: number;
  readonly freeFrom?: number;
  readonly minimumOrder: number;
}

export interface BuyProblem {
  readonly sellers: readonly ProblemSeller[];
  readonly ingredients: readonly Ingredient[];
  /** a multiple of every ingredient's scale */
  readonly scale: bigint;
  /** more than any cost that is looked at, in the problem's scale */
  readonly greatest: bigint;
}

export const greatestExact = BigInt(Number.MAX_SAFE_INTEGER);

const gcd = (a: bigint, b: bigint): bigint => {
  while (b !== 0n) [a, b] = [b, a % b];
  return a;
};
const lcm = (a: bigint, b: bigint): bigint => (a / gcd(a, b)) * b;

/** The greatest quantity of which all packs are whole multiples. */
function stepOf(packs: readonly Rational[]): Rational {
  const d = packs.reduce((common, pack) => lcm(common, pack.d), 1n);
  return rational(
    packs.reduce((common, pack) => gcd(common, pack.n * (d / pack.d)), 0n),
    d,
  );
}

/** What the surplus of a size is worth, in the ingredient's scale. */
export const valueOf = ({ perStep, offset, mostValue }: Ingredient, size: number): number =>
  Math.min(perStep * size - offset, mostValue);

function coversNeed({ quantity }: Need, offers: readonly Offer[]): boolean {
  if (offers.some(({ most }) => most === Infinity)) return true;
  const all = offers.reduce((sum, { pack, most }) => add(sum, mul(pack, rational(BigInt(most)))), rational(0n));
  return all.n * quantity.d >= quantity.n * all.d;
}

function tooLarge(pointer: string): DomainError {
  const detail = 'The quantities, packs and prices are too large or too finely divided to be reckoned with exactly.';
  return new DomainError('too-large', detail, { errors: [{ pointer, detail }] });
}

/** The dearest that could ever be looked at for a need: every offer by itself bought until nothing is missing. */
const dearestOf = (offers: readonly Offer[], sizes: readonly bigint[], cap: bigint): bigint =>
  offers.reduce((sum, { price, least, most }, k) => {
    const enough = ceil(rational(cap, sizes[k] ?? 1n));
    const packs = most === Infinity || BigInt(most) > enough ? enough : BigInt(most);
    return sum + BigInt(price) * (packs > BigInt(least) ? packs : BigInt(least));
  }, 0n);

function ingredientOf(
  need: Need,
  offers: readonly Offer[],
  sellerAt: ReadonlyMap<string, number>,
): { ingredient: Ingredient; greatest: bigint } {
  const step = stepOf(offers.map(({ pack }) => pack));
  const { quantity, storable } = need;
  const isStored = storable !== undefined && !isZero(storable.upTo) && !isZero(storable.valuePerUnit);
  const worth = isStored ? storable.valuePerUnit : rational(0n);
  const perStep = mul(worth, step);
  const offset = mul(worth, quantity);
  const mostValue = isStored ? mul(worth, storable.upTo) : rational(0n);
  const scale = [perStep, offset, mostValue].reduce((common, { d }) => lcm(common, d), 1n);
  const whole = (value: Rational): bigint => value.n * (scale / value.d);
  const needed = ceil(div(quantity, step));
  const cap = isStored ? ceil(div(add(quantity, storable.upTo), step)) : needed;
  const sizes = offers.map(({ pack }) => div(pack, step).n);
  const dearest = dearestOf(offers, sizes, cap);
  const greatest = dearest * scale + whole(perStep) * cap + whole(offset) + whole(mostValue);
  if ([greatest, ...sizes.map((size) => (size + cap) * 100_000n)].some((value) => value > greatestExact)) {
    throw tooLarge(`#/needs/${need.at}`);
  }
  const ingredient = {
    id: need.ingredient,
    options: offers.map(({ id, seller, price, least, most }, k) => ({
      ...{ id, price, least, most },
      seller: sellerAt.get(seller) ?? 0,
      size: Number(sizes[k] ?? 0n),
      cost: Number(BigInt(price) * scale),
    })),
    needed: Number(needed),
    cap: Number(cap),
    scale: Number(scale),
    perStep: Number(whole(perStep)),
    offset: Number(whole(offset)),
    mostValue: Number(whole(mostValue)),
  };
  return { ingredient, greatest };
}

/**
 * The whole numbers of a buy-plan. Throws `no-offer` with every need that the offers cannot cover, and `too-large` when the numbers would not
 * stay exact.
 */
export function buyProblem({ needs, sellers, offers }: BuyPlanInput): BuyProblem {
  const offersOf = new Map<string, Offer[]>(needs.map(({ ingredient }) => [ingredient, []]));
  for (const offer of offers) offersOf.get(offer.ingredient)?.push(offer);
  const sellerAt = new Map(sellers.map(({ id }, index) => [id, index]));
  const faults: InputFault[] = [];
  const read = needs.flatMap((need) => {
    const mine = offersOf.get(need.ingredient) ?? [];
    if (mine.length > 0 && coversNeed(need, mine)) return [ingredientOf(need, mine, sellerAt)];
    const detail = `No offers are enough for "${need.ingredient}".`;
    if (faults.length < 100) faults.push({ pointer: `#/needs/${need.at}`, detail, code: 'no-offer' });
    return [];
  });
  if (faults.length > 0) throw invalidInput(faults);
  const scale = read.reduce((common, { ingredient }) => lcm(common, BigInt(ingredient.scale)), 1n);
  const greatest = read.reduce((sum, each) => sum + each.greatest * (scale / BigInt(each.ingredient.scale)), 0n);
  if (greatest / scale > greatestExact) throw tooLarge('#/needs');
  return { sellers, ingredients: read.map(({ ingredient }) => ingredient), scale, greatest };
}
