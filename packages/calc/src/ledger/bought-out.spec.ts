import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { DomainError } from '../domain-error.ts';
import { parse, rational } from '../rational.ts';
import { householdBalances } from './balances.ts';
import { boughtOut, type Leaving } from './bought-out.ts';

const staying = new Map([
  ['b', rational(2n)],
  ['c', rational(1n)],
]);
const leaving = (micro: bigint, cost = '101'): Leaving => ({
  householdId: 'a',
  micro,
  costPerPortionMinor: parse(cost),
  staying,
  seed: 'x',
});
const code = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    if (error instanceof DomainError) return error.code;
  }
  return 'nothing';
};

describe('a leaver who is bought out', () => {
  it('pays for portions ahead and is paid for portions to come; those who stay take over both by weight', () => {
    // By hand: 1.5 portions at 1.01 are 1.515, rounded to 1.52; of three parts b takes two.
    const ahead = boughtOut(leaving(-1_500_000n));
    expect(Object.fromEntries(householdBalances([ahead.portions], 'portions'))).toEqual({
      a: 1_500_000n,
      b: -1_000_000n,
      c: -500_000n,
    });
    expect(Object.fromEntries(householdBalances([ahead.money!], 'money'))).toEqual({ a: -152n, b: 101n, c: 51n });
    const toCome = boughtOut(leaving(1_500_000n));
    expect(Object.fromEntries(householdBalances([toCome.money!], 'money'))).toMatchObject({ a: 152n });
    expect(boughtOut(leaving(1n)).money).toBeUndefined();
  });

  it('needs portions, a price and somebody who stays', () => {
    expect(code(() => boughtOut(leaving(0n)))).toBe('invalid-input');
    expect(code(() => boughtOut(leaving(5n, '0')))).toBe('invalid-input');
    expect(code(() => boughtOut({ ...leaving(5n), staying: new Map() }))).toBe('participant-missing');
    expect(code(() => boughtOut({ ...leaving(5n), staying: new Map([['b', rational(0n)]]) }))).toBe(
      'participant-missing',
    );
  });

  it('leaves nothing behind, and the money is within half a minor unit of the portions', () => {
    fc.assert(
      fc.property(
        fc.bigInt({ min: -50_000_000n, max: 50_000_000n }).filter((micro) => micro !== 0n),
        fc.bigInt({ min: 1n, max: 999n }),
        fc.array(fc.bigInt({ min: 0n, max: 9n }), { minLength: 1, maxLength: 12 }),
        (micro, cents, weights) => {
          fc.pre(weights.some((weight) => weight > 0n));
          const others = new Map(weights.map((weight, index) => [`h${index}`, rational(weight)]));
          const { portions, money } = boughtOut({ ...leaving(micro, `${cents}`), staying: others });
          const after = householdBalances([portions], 'portions');
          expect(after.get('a')).toBe(-micro);
          expect([...after.values()].reduce((a, b) => a + b, 0n)).toBe(0n);
          const paid = money ? householdBalances([money], 'money') : new Map<string, bigint>();
          expect([...paid.values()].reduce((a, b) => a + b, 0n)).toBe(0n);
          const off = 2n * ((paid.get('a') ?? 0n) * 1_000_000n - micro * cents);
          expect(off <= 1_000_000n && off >= -1_000_000n).toBe(true);
        },
      ),
    );
  });
});
