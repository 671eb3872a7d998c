import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Rational } from '../rational.ts';
import { abs, add, cmp, eq, isZero, one, parse, rational, sub, sum, zero } from '../rational.ts';
import { allocateWithCarry, largestCarriedDenominator, settleCarried, snapCarried } from './carry.ts';
import { exactShares } from './largest-remainder.ts';

const ids = ['a', 'b', 'c', 'd', 'e', 'f'];
const carriedWithSumNil = fc
  .tuple(
    fc.array(fc.integer({ min: -4000, max: 4000 }), { minLength: 1, maxLength: 5 }),
    fc.integer({ min: 1, max: 997 }),
  )
  .map(([numerators, d]) => {
    const last = -numerators.reduce((a, b) => a + b, 0);
    const values = [...numerators, last].map((n, i): [string, Rational] => [
      ids[i] ?? '',
      rational(BigInt(n), BigInt(d)),
    ]);
    return new Map(values);
  });

describe('allocation with carry', () => {
  it('loses nothing and gives only to those who have a share', () => {
    const anyShares = fc.dictionary(fc.constantFrom(...ids), fc.nat(50), { minKeys: 1 });
    fc.assert(
      fc.property(anyShares, carriedWithSumNil, fc.bigInt(-5000n, 5000n), (weights, carried, total) => {
        fc.pre(Object.values(weights).some((w) => w > 0));
        const shares = exactShares(total, new Map(Object.entries(weights).map(([id, w]) => [id, rational(BigInt(w))])));
        const { amounts, carried: after } = allocateWithCarry(shares, carried, 's');
        expect([...amounts.values()].reduce((x, y) => x + y, 0n)).toBe(total);
        expect([...amounts.keys()].sort()).toEqual([...shares.keys()].sort());
        for (const id of ids) {
          const before = add(shares.get(id) ?? zero, carried.get(id) ?? zero);
          expect(eq(before, add(rational(amounts.get(id) ?? 0n), after.get(id) ?? zero))).toBe(true);
        }
      }),
    );
  });

  it('settles any carried amounts that sum to nil below one unit, moving whole units only', () => {
    fc.assert(
      fc.property(carriedWithSumNil, fc.string(), (carried, seed) => {
        const { moved, carried: after } = settleCarried(carried, seed);
        expect([...moved.values()].reduce((x, y) => x + y, 0n)).toBe(0n);
        for (const [id, value] of after) {
          expect(cmp(abs(value), one)).toBe(-1);
          expect(eq(sub(carried.get(id) ?? zero, value), rational(moved.get(id) ?? 0n))).toBe(true);
        }
      }),
    );
  });

  it('stops without harm when the sum is not nil', () => {
    const { moved, carried } = settleCarried(
      new Map([
        ['a', parse('2.5')],
        ['b', parse('1.75')],
      ]),
      's',
    );
    expect(moved.size).toBe(0);
    expect(carried.get('a')).toEqual(parse('2.5'));
  });

  it('snaps long fractions, keeps the sum and moves nobody by a millionth of a millionth', () => {
    const long = new Map([
      ['a', rational(123_456_789_012n, largestCarriedDenominator * 7919n)],
      ['b', rational(-1n, 3n)],
    ]);
    long.set('c', rational(0n));
    long.set('c', sub(zero, sum(long.values())));
    const { carried, common } = snapCarried(long, 's');
    expect(isZero(common)).toBe(true);
    expect(isZero(sum(carried.values()))).toBe(true);
    for (const [id, value] of carried) {
      expect(10n ** 12n % value.d).toBe(0n);
      expect(cmp(abs(sub(value, long.get(id) ?? zero)), rational(1n, 10n ** 12n))).toBe(-1);
    }
    const short = new Map([
      ['a', parse('1/3')],
      ['b', parse('-1/7')],
    ]);
    expect(snapCarried(short, 's')).toEqual({ carried: short, common: zero });
  });

  it('gives what cannot be kept to the common account', () => {
    const { carried, common } = snapCarried(new Map([['a', rational(1n, 3n * 10n ** 24n)]]), 's');
    expect(eq(add(common, sum(carried.values())), rational(1n, 3n * 10n ** 24n))).toBe(true);
  });
});
