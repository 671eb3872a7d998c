import { largestRemainder } from '../allocation/largest-remainder.ts';
import type { Rational } from '../rational.ts';
import { floor, rational, sum } from '../rational.ts';

/** Micro-portions in one portion: the books count in whole ones so that every split sums exactly. */
export const microPerPortion = 1_000_000n;

/** Portions as micro-portions; the fraction below one micro-portion is cut towards minus infinity and belongs to the common account. */
export const toMicroPortions = (portions: Rational): bigint =>
  floor(rational(portions.n * microPerPortion, portions.d));

/** Micro-portions as exact portions. */
export const fromMicroPortions = (micro: bigint): Rational => rational(micro, microPerPortion);

/**
 * Exact portions of several households in whole micro-portions, summing to their sum cut to a whole micro-portion.
 * Method: largestRemainder. `portions`: household to exact portions; `seed`: any text, for equal remainders. Nobody moves by a whole
 * micro-portion, and what the cut leaves (less than one) is the common account's.
 */
export function snapToMicroPortions(portions: ReadonlyMap<string, Rational>, seed: string): Map<string, bigint> {
  const scaled = new Map([...portions].map(([id, { n, d }]) => [id, rational(n * microPerPortion, d)]));
  return largestRemainder(scaled, toMicroPortions(sum(portions.values())), seed);
}
