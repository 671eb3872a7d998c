import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { rational, sum } from '../rational.ts';
import { balancesOf, householdBalances, reversalOf } from './balances.ts';
import type { EntryDraft } from './entry.ts';
import { household } from './entry.ts';
import { fromMicroPortions, toMicroPortions } from './micro-portions.ts';
import { costSplitBooked, paymentMade, receiptPaid, writtenOff } from './money-entries.ts';
import { claimed, released, sharedOut, swapDone } from './portion-entries.ts';

const someone = fc.constantFrom('a', 'b', 'c', 'd');
const amount = fc.bigInt(1n, 10n ** 9n);
const moneyEntry: fc.Arbitrary<EntryDraft> = fc.oneof(
  fc.tuple(someone, amount).map(([payer, paid]) => receiptPaid(household(payer), paid)),
  fc
    .dictionary(someone, amount, { minKeys: 1 })
    .map((charges) =>
      costSplitBooked(new Map(Object.entries(charges).map(([id, amountMinor]) => [id, { amountMinor }]))),
    ),
  fc.tuple(someone, amount).map(([from, paid]) => paymentMade(household(from), { kind: 'fund' }, paid)),
  fc.tuple(someone, amount).map(([id, granted]) => writtenOff(id, granted)),
);
const portions = fc
  .tuple(fc.nat(10_000), fc.integer({ min: 1, max: 97 }))
  .map(([n, d]) => rational(BigInt(n), BigInt(d)));
const four = fc
  .tuple(portions, portions, portions, portions)
  .map((values) => new Map(values.map((value, i) => [['a', 'b', 'c', 'd'][i] ?? '', value])));
const portionEntry: fc.Arbitrary<EntryDraft> = fc.oneof(
  fc
    .tuple(four, four, fc.string())
    .filter(([due]) => [...due.values()].some(({ n, d }) => n * 1_000_000n >= d))
    .map(([entitlement, received, seed]) => sharedOut({ entitlement, received, seed })),
  fc.tuple(someone, amount).map(([id, micro]) => claimed(id, micro)),
  fc.tuple(someone, amount).map(([id, micro]) => released(id, micro)),
  amount.map((micro) => swapDone([{ giver: 'a', receiver: 'b', micro }]) ?? claimed('a', 1n)),
);

describe('the books, always', () => {
  it.each([
    ['money', moneyEntry],
    ['portions', portionEntry],
  ] as const)('%s: balances sum to nil, and reversing every entry brings each to nil', (book, anyEntry) => {
    fc.assert(
      fc.property(fc.array(anyEntry, { maxLength: 20 }), (entries) => {
        const booked = entries.map((entry, i) => ({ ...entry, id: `e${i}` }));
        const total = (values: Iterable<bigint>) => [...values].reduce((a, b) => a + b, 0n);
        for (const { postings } of entries) expect(total(postings.map((posting) => posting.amount))).toBe(0n);
        expect(total(balancesOf(booked, book).values())).toBe(0n);
        const undone = balancesOf([...booked, ...booked.map(reversalOf)], book);
        for (const balance of undone.values()) expect(balance).toBe(0n);
      }),
    );
  });

  it('a share-out snaps nobody by a micro-portion, and keeps their sum to within one', () => {
    fc.assert(
      fc.property(four, fc.string(), (due, seed) => {
        fc.pre(toMicroPortions(sum(due.values())) > 0n);
        const nothing = new Map([...due.keys()].map((id) => [id, rational(0n)]));
        const balances = householdBalances([sharedOut({ entitlement: due, received: nothing, seed })], 'portions');
        for (const [id, exact] of due) {
          const kept = balances.get(id) ?? 0n;
          expect([toMicroPortions(exact), toMicroPortions(exact) + 1n]).toContain(kept);
          expect(toMicroPortions(fromMicroPortions(kept))).toBe(kept);
        }
        expect([...balances.values()].reduce((a, b) => a + b, 0n)).toBe(toMicroPortions(sum(due.values())));
      }),
    );
  });
});
