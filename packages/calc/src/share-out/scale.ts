import type { Rational } from '../rational.ts';

export const gcd = (a: bigint, b: bigint): bigint => {
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

/** The quotient rounded down, and up; b is above nil. */
export const floorDiv = (a: bigint, b: bigint): bigint => (a >= 0n ? a / b : -((-a + b - 1n) / b));
export const ceilDiv = (a: bigint, b: bigint): bigint => -floorDiv(-a, b);

/** The greatest whole number whose square is not above a value of nil or more (Newton's iteration on whole numbers). */
export function squareRoot(value: bigint): bigint {
  if (value < 2n) return value;
  let root = 1n << BigInt(Math.ceil(value.toString(2).length / 2));
  for (;;) {
    const next = (root + value / root) / 2n;
    if (next >= root) return root;
    root = next;
  }
}
