import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { clearBalances } from './clear-balances.ts';

/** Small amounts, so that opposites and groups are frequent; the last household takes what makes the sum nil. */
const balancesUpTo = (people: number, range: number) =>
  fc.array(fc.integer({ min: -range, max: range }), { minLength: 0, maxLength: people - 1 }).map((amounts) => {
    const all = [...amounts, -amounts.reduce((a, b) => a + b, 0)];
    return Object.fromEntries(all.map((amount, i) => [`h${i}`, `${amount === 0 ? 0 : amount}`]));
  });

function checkPayments(
  balances: Record<string, string>,
  payments: { from: string; to: string; amount: string }[],
): void {
  const left = new Map(Object.entries(balances).map(([id, amount]) => [id, BigInt(amount)]));
  for (const { from, to, amount } of payments) {
    expect(BigInt(amount) > 0n).toBe(true);
    left.set(from, (left.get(from) ?? 0n) + BigInt(amount));
    left.set(to, (left.get(to) ?? 0n) - BigInt(amount));
  }
  for (const amount of left.values()) expect(amount).toBe(0n);
}

/** The most groups summing to nil, by trying every division: the first member's group is every subset that sums to nil. */
function mostGroups(amounts: readonly number[]): number {
  const [first, ...others] = amounts;
  if (first === undefined) return 0;
  let best = -Infinity;
  for (let set = 0; set < 2 ** others.length; set++) {
    const inside = others.filter((_, i) => set & (1 << i));
    if (first + inside.reduce((a, b) => a + b, 0) !== 0) continue;
    best = Math.max(best, 1 + mostGroups(others.filter((_, i) => !(set & (1 << i)))));
  }
  return best;
}

describe('clear-balances, always', () => {
  it('brings every balance to nil with the fewest payments, as brute force finds', () => {
    fc.assert(
      fc.property(balancesUpTo(9, 12), (balances) => {
        const { proof, payments } = clearBalances({ balances });
        checkPayments(balances, payments);
        const open = Object.values(balances)
          .map(Number)
          .filter((amount) => amount !== 0);
        expect(proof).toBe('optimal');
        expect(payments).toHaveLength(open.length - mostGroups(open));
      }),
      { numRuns: 1500 },
    );
  });

  it('clears many people, never with fewer payments than it says must be', () => {
    fc.assert(
      fc.property(balancesUpTo(60, 5000), (balances) => {
        const { payments, proof, atLeast = 0 } = clearBalances({ balances });
        checkPayments(balances, payments);
        const open = Object.values(balances).filter((amount) => amount !== '0').length;
        expect(payments.length).toBeLessThanOrEqual(Math.max(0, open - 1));
        expect(payments.length).toBeGreaterThanOrEqual(atLeast);
        expect(proof === 'optimal').toBe(atLeast === 0);
      }),
      { numRuns: 40 },
    );
  });

  it('pays whole units only and carries less than one, and gives the same bytes in any order', () => {
    fc.assert(
      fc.property(balancesUpTo(10, 5000), (balances) => {
        const result = clearBalances({ balances, wholeUnits: true });
        const carried = Object.entries(result.carried ?? {});
        const paid = Object.fromEntries(
          carried.map(([id, rest]) => [id, `${BigInt(balances[id] ?? '0') - BigInt(rest)}`]),
        );
        checkPayments(paid, result.payments);
        for (const { amount } of result.payments) expect(BigInt(amount) % 100n).toBe(0n);
        for (const [, rest] of carried) expect(BigInt(rest) > -100n && BigInt(rest) < 100n).toBe(true);
        const backwards = Object.fromEntries(Object.entries(balances).reverse());
        expect(canonicalJson(clearBalances({ wholeUnits: true, balances: backwards }))).toBe(canonicalJson(result));
      }),
    );
  });
});
