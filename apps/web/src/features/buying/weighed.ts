import { rational, type Rational } from '@frostmoot/calc';

const { parse, mul, div, round, cmp, toDecimal } = rational;
const TEN = rational.rational(10n);
const FIVE = rational.rational(5n);

/** The exact price of one unit of a pack: 2560 minor units for 4 kg is 640 a kilogram. */
export const pricePerUnit = (priceMinor: string, packQuantity: string): Rational =>
  div(parse(priceMinor), parse(packQuantity));

/** What a weight costs at a price per unit, in whole minor units, a half of one up. */
export const amountOf = (quantity: string, perUnit: Rational): string =>
  round(mul(parse(quantity), perUnit)).toString();

/** What the packs say they weigh together. */
export const labelQuantity = (packs: number, packQuantity: string): Rational =>
  mul(rational.rational(BigInt(packs)), parse(packQuantity));

/**
 * A weight that is five times off what the packs say is asked about before it is kept: a point in the wrong place is the usual slip. Gives the
 * weight that was probably meant (a power of ten away, nearest to the plan), or undefined where the weight is plausible.
 */
export function probablyMeant(typed: string, planned: Rational): string | undefined {
  const weight = parse(typed);
  if (cmp(weight, rational.zero) <= 0 || cmp(planned, rational.zero) <= 0) return undefined;
  const isPlausible = (value: Rational) => cmp(value, mul(planned, FIVE)) < 0 && cmp(planned, mul(value, FIVE)) < 0;
  if (isPlausible(weight)) return undefined;
  const shift = cmp(weight, planned) > 0 ? (value: Rational) => div(value, TEN) : (value: Rational) => mul(value, TEN);
  let meant = weight;
  for (let step = 0; step < 6; step += 1) {
    meant = shift(meant);
    if (isPlausible(meant)) return toDecimal(meant, 6).replace(/\.?0+$/, '');
  }
  return undefined;
}
