import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Rational } from './rational.ts';
import {
  add,
  ceil,
  cmp,
  div,
  eq,
  floor,
  format,
  isZero,
  mul,
  neg,
  one,
  parse,
  rational,
  round,
  sub,
  sum,
  toDecimal,
  zero,
} from './rational.ts';

const fraction = fc
  .tuple(fc.bigInt({ min: -(10n ** 12n), max: 10n ** 12n }), fc.bigInt({ min: 1n, max: 10n ** 9n }))
  .map(([n, d]) => rational(n, d));

const same = (a: Rational, b: Rational): void => expect(format(a)).toBe(format(b));

describe('rational, for any fractions', () => {
  it('is a field', () => {
    fc.assert(
      fc.property(fraction, fraction, fraction, (a, b, c) => {
        same(add(a, add(b, c)), add(add(a, b), c));
        same(mul(a, b), mul(b, a));
        same(mul(a, add(b, c)), add(mul(a, b), mul(a, c)));
        same(sub(a, a), zero);
        same(add(a, neg(a)), zero);
        if (!isZero(b)) same(mul(div(a, b), b), a);
        if (!isZero(a)) same(div(a, a), one);
      }),
    );
  });

  it('reads back what it writes', () => {
    fc.assert(fc.property(fraction, (a) => same(parse(format(a)), a)));
  });

  it('orders as differences do', () => {
    fc.assert(
      fc.property(fraction, fraction, (a, b) => {
        const difference = sub(a, b).n;
        expect(cmp(a, b)).toBe(difference < 0n ? -1 : difference > 0n ? 1 : 0);
        expect(eq(a, b)).toBe(cmp(a, b) === 0);
      }),
    );
  });

  it('has its floor and ceiling less than one away and the nearest integer at most a half', () => {
    fc.assert(
      fc.property(fraction, (a) => {
        const below = sub(a, rational(floor(a)));
        const above = sub(rational(ceil(a)), a);
        expect(cmp(below, zero) >= 0 && cmp(below, one) < 0).toBe(true);
        expect(cmp(above, zero) >= 0 && cmp(above, one) < 0).toBe(true);
        const off = sub(rational(round(a)), a);
        expect(cmp(off, rational(1n, 2n)) <= 0 && cmp(off, rational(-1n, 2n)) > 0).toBe(true);
      }),
    );
  });

  it('writes decimals within half a unit of the last digit', () => {
    fc.assert(
      fc.property(fraction, fc.integer({ min: 0, max: 12 }), (a, digits) => {
        const written = parse(toDecimal(a, digits));
        const half = rational(1n, 2n * 10n ** BigInt(digits));
        const off = sub(written, a);
        expect(cmp(off, half) <= 0 && cmp(off, neg(half)) >= 0).toBe(true);
      }),
    );
  });

  it('sums to the same in any order', () => {
    fc.assert(
      fc.property(fc.array(fraction, { maxLength: 12 }), (values) => same(sum(values), sum([...values].reverse()))),
    );
  });
});
