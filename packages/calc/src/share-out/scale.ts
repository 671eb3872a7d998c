import type { Rational } from '../rational.ts';

const gcd = (a: bigint, b: bigint): bigint => {
  while (b !== 0n) [a, b] = [b, a % b];
  return a;
};

/** The least number that makes whole numbers of all when multiplied with it. */
export function commonDenominator(values: Iterable<Rational>): bigint {
  let common = 1n;
  for (const { d } of values) common = (common / gcd(common, d)) * d;
  return common;
}

/** The whole number value x factor; factor is a multiple of the denominator. */
export const scaled = (value: Rational, factor: bigint): bigint => value.n * (factor / value.d);
