import { DomainError } from './domain-error.ts';

/** An exact fraction in lowest terms; the denominator is positive, and nil is 0/1. */
export interface Rational {
  readonly n: bigint;
  readonly d: bigint;
}

/** The longest text that is read as one number: enough for any real figure, far too short to keep a processor busy. */
export const longestNumberText = 60;

/** The greatest denominator of a real kitchen is tiny; this one stops an input made to grow fractions without end. */
const greatestDenominator = 10n ** 1000n;

const safe = BigInt(Number.MAX_SAFE_INTEGER);

const gcd = (a: bigint, b: bigint): bigint => {
  let x = a < 0n ? -a : a;
  let y = b < 0n ? -b : b;
  while (y > safe || (x > safe && y !== 0n)) [x, y] = [y, x % y];
  if (y === 0n) return x;
  // Most fractions are small, and plain numbers are exact up to here and much faster.
  let [p, q] = [Number(x), Number(y)];
  while (q !== 0) [p, q] = [q, p % q];
  return BigInt(p);
};

/** The fraction n/d in lowest terms. Throws RangeError when d is nil, DomainError `too-large` when the fraction is beyond all use. */
export function rational(n: bigint, d = 1n): Rational {
  if (d === 1n) return { n, d };
  if (d === 0n) throw new RangeError('A fraction cannot have the denominator 0.');
  if (d > greatestDenominator)
    throw new DomainError('too-large', 'The numbers given make fractions too large to reckon with.');
  const divisor = d < 0n ? -gcd(n, d) : gcd(n, d);
  return { n: n / divisor, d: d / divisor };
}

export const zero: Rational = { n: 0n, d: 1n };
export const one: Rational = { n: 1n, d: 1n };

export const add = (a: Rational, b: Rational): Rational => rational(a.n * b.d + b.n * a.d, a.d * b.d);
export const sub = (a: Rational, b: Rational): Rational => rational(a.n * b.d - b.n * a.d, a.d * b.d);
export const mul = (a: Rational, b: Rational): Rational => rational(a.n * b.n, a.d * b.d);
/** a / b. Throws RangeError when b is nil. */
export const div = (a: Rational, b: Rational): Rational => rational(a.n * b.d, a.d * b.n);
export const neg = (a: Rational): Rational => ({ n: -a.n, d: a.d });
export const abs = (a: Rational): Rational => (a.n < 0n ? neg(a) : a);

/** -1, 0 or 1: a is smaller than, equal to or greater than b. */
export function cmp(a: Rational, b: Rational): -1 | 0 | 1 {
  const left = a.n * b.d;
  const right = b.n * a.d;
  return left < right ? -1 : left > right ? 1 : 0;
}

export const eq = (a: Rational, b: Rational): boolean => a.n === b.n && a.d === b.d;
export const isZero = (a: Rational): boolean => a.n === 0n;
export const isInteger = (a: Rational): boolean => a.d === 1n;
/** -1, 0 or 1. */
export const sign = (a: Rational): -1 | 0 | 1 => (a.n < 0n ? -1 : a.n > 0n ? 1 : 0);
export const min = (a: Rational, b: Rational): Rational => (cmp(a, b) <= 0 ? a : b);
export const max = (a: Rational, b: Rational): Rational => (cmp(a, b) >= 0 ? a : b);

/** The sum, nil for nothing; the order does not matter. */
export function sum(values: Iterable<Rational>): Rational {
  let total = zero;
  for (const value of values) total = add(total, value);
  return total;
}

/** The greatest integer that is not greater. */
export function floor(a: Rational): bigint {
  const quotient = a.n / a.d;
  return a.n < 0n && quotient * a.d !== a.n ? quotient - 1n : quotient;
}

/** The least integer that is not smaller. */
export const ceil = (a: Rational): bigint => -floor(neg(a));

/** The nearest integer; a half goes up (towards positive infinity). */
export const round = (a: Rational): bigint => floor(rational(2n * a.n + a.d, 2n * a.d));

/** The nearest multiple of a positive step; a half goes up. */
export const roundTo = (a: Rational, step: Rational): Rational => mul(rational(round(div(a, step))), step);

/** The least multiple of a positive step that is not smaller. */
export const ceilTo = (a: Rational, step: Rational): Rational => mul(rational(ceil(div(a, step))), step);

/** As text that can be read back: exact where it is short enough, else to a millionth. For figures that are shown and not booked. */
export function shown(a: Rational): string {
  const exact = format(a);
  return exact.length <= longestNumberText ? exact : toDecimal(a, 6);
}

const numberText = /^(-?)(?:(\d+)(?:\.(\d+))?|(\d+)\/(\d+))$/;

/** Reads `7/2`, `-0.61` or `12`; undefined when the text is none of these, is too long or divides by nil. */
export function tryParse(text: string): Rational | undefined {
  if (text.length > longestNumberText) return undefined;
  const match = numberText.exec(text);
  if (!match) return undefined;
  const [, minus, whole, decimals = '', numerator, denominator] = match;
  const fraction =
    whole === undefined
      ? [BigInt(numerator ?? '0'), BigInt(denominator ?? '0')]
      : [BigInt(whole + decimals), 10n ** BigInt(decimals.length)];
  const [n = 0n, d = 0n] = fraction;
  if (d === 0n) return undefined;
  return rational(minus === '-' ? -n : n, d);
}

/** Reads `7/2`, `-0.61` or `12`. Throws RangeError for anything else; for input from outside use the reader of input.ts. */
export function parse(text: string): Rational {
  const value = tryParse(text);
  if (value === undefined) throw new RangeError(`Not a number: ${text.slice(0, longestNumberText)}`);
  return value;
}

/** The wire form: `7/2`, or `12` for an integer. */
export const format = (a: Rational): string => (a.d === 1n ? a.n.toString() : `${a.n}/${a.d}`);

/** The decimal form with exactly this many digits after the point, rounded half away from nil: 7/2 in 2 digits is `3.50`. */
export function toDecimal(a: Rational, digits: number): string {
  const scaled = round(mul(abs(a), rational(10n ** BigInt(digits))));
  const text = scaled.toString().padStart(digits + 1, '0');
  const point = text.length - digits;
  const minus = a.n < 0n && scaled !== 0n ? '-' : '';
  return minus + text.slice(0, point) + (digits > 0 ? `.${text.slice(point)}` : '');
}
