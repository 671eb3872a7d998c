import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { add, cmp, div, eq, max, min, rational, sub, sum, zero } from '../rational.ts';
import { estateDivision } from './estate.ts';
import { nestedShares } from './nested.ts';

const claimsOf = (amounts: number[]) => new Map(amounts.map((amount, i) => [`c${i}`, rational(BigInt(amount))]));

describe('estateDivision', () => {
  it('is consistent: any two divide what they have together as the garment of two is divided', () => {
    const two = rational(2n);
    fc.assert(
      fc.property(fc.array(fc.nat(500), { minLength: 2, maxLength: 7 }), fc.nat(100), (amounts, percent) => {
        const claims = claimsOf(amounts);
        const estate = rational(BigInt(amounts.reduce((a, b) => a + b, 0) * percent), 100n);
        const parts = estateDivision(estate, claims);
        expect(eq(sum(parts.values()), estate)).toBe(true);
        for (const [i, x] of parts) {
          for (const [j, y] of parts) {
            if (i === j) continue;
            const pair = add(x, y);
            const [a, b] = [claims.get(i) ?? zero, claims.get(j) ?? zero];
            // Only i claims what is beyond j's claim; what both claim is halved (Mishnah Bava Metzia 2a as read by Aumann and Maschler 1985).
            const onlyI = max(sub(pair, b), zero);
            const onlyJ = max(sub(pair, a), zero);
            const both = sub(sub(pair, onlyI), onlyJ);
            expect(cmp(min(a, pair), x)).toBeGreaterThanOrEqual(0);
            expect(eq(x, add(onlyI, div(both, two)))).toBe(true);
          }
        }
      }),
    );
  });

  it('pays every claim when there is enough, nothing when there is nothing, and refuses what is negative', () => {
    const claims = claimsOf([100, 200]);
    expect(estateDivision(rational(400n), claims)).toEqual(claims);
    expect([...estateDivision(zero, claims).values()]).toEqual([zero, zero]);
    expect(estateDivision(zero, new Map()).size).toBe(0);
    expect(() => estateDivision(rational(-1n), claims)).toThrow(RangeError);
    expect(() => estateDivision(zero, claimsOf([-1]))).toThrow(RangeError);
  });
});

describe('nestedShares', () => {
  it('sums to the greatest need, charges equal needs equally and nobody above its own need', () => {
    fc.assert(
      fc.property(fc.array(fc.bigInt(0n, 100_000n), { minLength: 1, maxLength: 10 }), (needs) => {
        const given = new Map(needs.map((need, i) => [`h${i}`, need]));
        const shares = nestedShares(given);
        expect(eq(sum(shares.values()), rational(needs.reduce((a, b) => (a > b ? a : b))))).toBe(true);
        for (const [id, share] of shares) {
          const need = given.get(id) ?? 0n;
          expect(cmp(share, rational(need))).toBeLessThanOrEqual(0);
          for (const [other, theirs] of shares) if (given.get(other) === need) expect(theirs).toEqual(share);
        }
      }),
    );
  });

  it('refuses a negative need', () => {
    expect(() => nestedShares(new Map([['a', -1n]]))).toThrow(RangeError);
  });
});
