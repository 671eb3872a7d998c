import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { parse } from '../rational.ts';
import { balancesOf, householdBalances, reversalOf } from './balances.ts';
import { draftEntry, household } from './entry.ts';
import { costSplitBooked, moneyOpening, paymentMade, receiptPaid, writtenOff } from './money-entries.ts';
import { claimed, lost, portionsOpening, released, sharedOut, swapDone } from './portion-entries.ts';

const code = (act: () => unknown): string => {
  try {
    act();
  } catch (error) {
    return error instanceof DomainError ? error.code : String(error);
  }
  return 'accepted';
};

describe('the book of money', () => {
  it('comes to nil after a receipt is paid, split and settled', () => {
    const entries = [
      receiptPaid(household('a'), 1250n),
      costSplitBooked(
        new Map([
          ['a', { amountMinor: 417n }],
          ['b', { amountMinor: 833n, facts: { share: '2/3' } }],
        ]),
      ),
      paymentMade(household('b'), household('a'), 833n),
    ];
    expect(balancesOf(entries.slice(0, 2), 'money')).toEqual(
      new Map([
        ['household:a', 833n],
        ['household:b', -833n],
        ['stock', 0n],
      ]),
    );
    expect([...balancesOf(entries, 'money').values()]).toEqual([0n, 0n, 0n]);
  });

  it('keeps the numbers that explain a charge with its posting', () => {
    const entry = costSplitBooked(new Map([['b', { amountMinor: 5n, facts: { share: '1' } }]]));
    expect(entry.postings).toContainEqual({ account: household('b'), amount: -5n, facts: { share: '1' } });
  });

  it('lets the common fund pay, write off and receive, and opens with balances from elsewhere', () => {
    const entries = [
      receiptPaid({ kind: 'fund' }, 300n),
      writtenOff('a', 20n),
      paymentMade(household('a'), { kind: 'fund' }, 5n),
      moneyOpening(new Map([['a', -7n]])),
    ];
    expect(balancesOf(entries, 'money')).toEqual(
      new Map([
        ['fund', 275n],
        ['household:a', 18n],
        ['outside', 7n],
        ['stock', -300n],
      ]),
    );
  });

  it('refuses what does not balance, the wrong account, nothing at all and a payment to oneself', () => {
    expect(code(() => draftEntry('money', 'payment', [{ account: household('a'), amount: 1n }]))).toBe(
      'ledger-unbalanced',
    );
    const common = [
      { account: household('a'), amount: 1n },
      { account: { kind: 'common' as const }, amount: -1n },
    ];
    expect(code(() => draftEntry('money', 'write-off', common))).toBe('ledger-unbalanced');
    expect(code(() => receiptPaid(household('a'), 0n))).toBe('invalid-input');
    expect(code(() => receiptPaid({ kind: 'stock' }, 5n))).toBe('invalid-input');
    expect(code(() => paymentMade(household('a'), household('a'), 5n))).toBe('invalid-input');
    expect(code(() => paymentMade(household('a'), household('b'), -5n))).toBe('invalid-input');
    expect(code(() => paymentMade({ kind: 'fund' }, { kind: 'fund' }, 5n))).toBe('invalid-input');
  });
});

describe('the book of portions', () => {
  const thirds = new Map(['a', 'b', 'c'].map((id) => [id, parse('10/3')]));
  const received = new Map([
    ['a', parse('4')],
    ['b', parse('4')],
    ['c', parse('2')],
  ]);

  it('books what was due and what was received, and snaps to micro-portions without losing one', () => {
    const entry = sharedOut({ entitlement: thirds, received, seed: 'r1' });
    const balances = householdBalances([entry], 'portions');
    expect([...balances.values()].reduce((x, y) => x + y)).toBe(0n);
    // A third cannot be written in micro-portions: one of the three has the odd one.
    expect([-666_667n, -666_666n]).toContain(balances.get('a'));
    expect([1_333_333n, 1_333_334n]).toContain(balances.get('c'));
    expect(entry.postings.filter(({ facts }) => facts?.part === 'received')).toHaveLength(3);
  });

  it('gives the common account what is left unallotted', () => {
    const less = new Map([...received, ['c', parse('0')]] as const);
    const balances = balancesOf([sharedOut({ entitlement: thirds, received: less, seed: 'r1' })], 'portions');
    expect(balances.get('common')).toBe(-2_000_000n);
  });

  it('refuses a share-out that names other households', () => {
    expect(code(() => sharedOut({ entitlement: thirds, received: new Map(), seed: 's' }))).toBe('invalid-input');
  });

  it('takes back by a release exactly what a claim took', () => {
    const entries = [claimed('a', 4_000_000n), released('a', 4_000_000n)];
    expect([...balancesOf(entries, 'portions').values()]).toEqual([0n, 0n]);
    expect(code(() => claimed('a', 0n))).toBe('invalid-input');
    expect(householdBalances([lost('b', 1n)], 'portions').get('b')).toBe(1n);
  });

  it('leaves an uneven swap as a balance between the two, and books an even one without moving a balance', () => {
    const uneven = swapDone([
      { giver: 'a', receiver: 'b', micro: 4_000_000n },
      { giver: 'b', receiver: 'a', micro: 3_000_000n },
    ]);
    expect(householdBalances([uneven], 'portions')).toEqual(
      new Map([
        ['a', 1_000_000n],
        ['b', -1_000_000n],
      ]),
    );
    const ring = ['a', 'b', 'c'].map((giver, i) => ({ giver, receiver: ['b', 'c', 'a'][i] ?? '', micro: 2n }));
    expect([...householdBalances([swapDone(ring)], 'portions').values()]).toEqual([0n, 0n, 0n]);
    expect(code(() => swapDone([{ giver: 'a', receiver: 'a', micro: 1n }]))).toBe('invalid-input');
    expect(code(() => swapDone([{ giver: 'a', receiver: 'b', micro: 0n }]))).toBe('invalid-input');
  });

  it('opens with balances and is undone by a reversal, once', () => {
    const entry = { ...portionsOpening(new Map([['a', 5n]])), id: 'e1' };
    const reversal = reversalOf(entry);
    expect(reversal.reverses).toBe('e1');
    expect([...balancesOf([entry, reversal], 'portions').values()]).toEqual([0n, 0n]);
    expect(code(() => reversalOf({ ...entry, reversedBy: 'e2' }))).toBe('conflict');
    expect(code(() => reversalOf({ ...reversal, id: 'e2' }))).toBe('conflict');
  });
});
