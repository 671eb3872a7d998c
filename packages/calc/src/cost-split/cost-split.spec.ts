import { describe, expect, it } from '@jest/globals';
import { largestCarriedDenominator } from '../allocation/carry.ts';
import { canonicalJson } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { add, isZero, parse, rational, sum } from '../rational.ts';
import { costSplit } from './cost-split.ts';

const pointers = (input: unknown): string[] => {
  try {
    costSplit(input);
  } catch (error) {
    if (error instanceof DomainError) return error.errors.map(({ pointer }) => pointer);
    throw error;
  }
  return [];
};

describe('costSplit', () => {
  it('splits a line by weight and carries what rounding left', () => {
    const result = costSplit({
      lines: [{ id: 'tomatoes', amount: '100', shares: { a: '1', b: '1', c: '1' } }],
      carried: {},
    });
    expect(Object.values(result.amounts.tomatoes ?? {}).sort()).toEqual(['33', '33', '34']);
    expect(Object.values(result.carriedAfter).sort()).toEqual(['-2/3', '1/3', '1/3']);
  });

  it('gives the odd unit to whoever was spared it before', () => {
    const lines = [{ id: 'onions', amount: '100', shares: { a: '1', b: '1', c: '1' } }];
    const result = costSplit({ lines, carried: { a: '1/3', b: '1/3', c: '-2/3' } });
    expect(result.totals.c).toBe('33');
    expect(Object.values(result.carriedAfter).sort()).toEqual(['-1/3', '-1/3', '2/3']);
  });

  it('splits nested fees by the airport rule', () => {
    const fees = { method: 'nested', needs: { near: '800', far: '1800', mid: '1100', further: '1300' } };
    expect(costSplit({ lines: [], carried: {}, fees })).toEqual({
      amounts: {},
      fees: { near: '200', mid: '300', further: '400', far: '900' },
      totals: { near: '200', mid: '300', further: '400', far: '900' },
      carriedAfter: { near: '0', mid: '0', further: '0', far: '0' },
    });
  });

  it('splits fees by weight', () => {
    const fees = { method: 'weight', amount: '10', weights: { a: '4', b: '1' } };
    expect(costSplit({ lines: [], carried: {}, fees }).fees).toEqual({ a: '8', b: '2' });
  });

  it('mirrors a charge of the same receipt and leaves nothing behind', () => {
    const shares = { a: '3', b: '2', c: '2' };
    const carried = { a: '1/4', b: '-1/4' };
    const lines = [
      { id: 'flour', amount: '995', shares },
      { id: 'back', amount: '-995', refundOf: 'flour' },
    ];
    const result = costSplit({ lines, carried });
    for (const [id, amount] of Object.entries(result.amounts.flour ?? {})) {
      expect(BigInt(result.amounts.back?.[id] ?? '0')).toBe(-BigInt(amount));
    }
    expect(result.totals).toEqual({ a: '0', b: '0', c: '0' });
    expect(result.carriedAfter).toEqual({ a: '1/4', b: '-1/4', c: '0' });
  });

  it('mirrors a charge of an earlier receipt, whose rounding is then taken back', () => {
    const shares = { a: '1', b: '1' };
    const first = costSplit({ lines: [{ id: 'l1', amount: '5', shares }], carried: {} });
    const refund = { id: 'l2', amount: '-5', refundOf: 'l1', shares, charged: first.amounts.l1 };
    const second = costSplit({ lines: [refund], carried: first.carriedAfter });
    expect(Object.keys(second.carriedAfter).map((id) => second.carriedAfter[id])).toEqual(['0', '0']);
  });

  it('refunds a part with the shares of its charge', () => {
    const shares = { a: '3', b: '1' };
    const refund = { id: 'l2', amount: '-40', refundOf: 'l1', shares, charged: { a: '75', b: '25' } };
    expect(costSplit({ lines: [refund], carried: {} }).amounts.l2).toEqual({ a: '-30', b: '-10' });
  });

  it('splits a catch weight as one line with the shares of its original', () => {
    const lines = [
      { id: 'mince', amount: '4000', shares: { a: '3', b: '1' } },
      { id: 'heavier', amount: '120', adjusts: 'mince' },
    ];
    expect(costSplit({ lines, carried: {} }).amounts.heavier).toEqual({ a: '90', b: '30' });
  });

  it('moves a whole unit between households when rounding has added up, and says so', () => {
    const lines = [{ id: 'x', amount: '1', shares: { a: '1', b: '1' } }];
    const carried = { a: '9/10', b: '9/10', c: '-9/10', d: '-9/10' };
    const result = costSplit({ lines, carried });
    expect(Object.values(result.amounts.x ?? {}).sort()).toEqual(['0', '1']);
    const rounding = Object.entries(result.rounding ?? {});
    expect(rounding.map(([, amount]) => amount).sort()).toEqual(['-1', '1']);
    expect(rounding.find(([, amount]) => amount === '-1')?.[0]).toMatch(/[cd]/);
  });

  it('keeps a household of weight nil out and takes no notice of the order of lines', () => {
    const lines = [
      { id: 'p', amount: '7', shares: { a: '0', b: '1/3', c: '0.5' } },
      { id: 'q', amount: '-3', shares: { c: '1', b: '1' } },
      { id: 'r', amount: '0', shares: { a: '1' } },
    ];
    const result = costSplit({ lines, carried: { b: '1/2', a: '-1/2' } });
    expect(result.amounts.p?.a).toBe('0');
    const other = costSplit({ carried: { a: '-1/2', b: '1/2' }, lines: [...lines].reverse() });
    expect(canonicalJson(other)).toBe(canonicalJson(result));
  });

  it.each([
    ['a household nobody weighs', { lines: [{ id: 'x', amount: '1', shares: { a: '0' } }] }, ['#/lines/0/shares']],
    ['a line without shares', { lines: [{ id: 'x', amount: '1' }] }, ['#/lines/0/shares']],
    ['a negative weight', { lines: [{ id: 'x', amount: '1', shares: { a: '-1' } }] }, ['#/lines/0/shares/a']],
    ['an amount with a point', { lines: [{ id: 'x', amount: '1.5', shares: { a: '1' } }] }, ['#/lines/0/amount']],
    ['a carried amount beyond reason', { lines: [], carried: { a: '1000000' } }, ['#/carried/a']],
    ['nobody with needs', { lines: [], fees: { method: 'nested', needs: {} } }, ['#/fees/needs']],
    [
      'fees that nobody weighs',
      { lines: [], fees: { method: 'weight', amount: '5', weights: {} } },
      ['#/fees/weights'],
    ],
    ['fees without a method', { lines: [], fees: { amount: '5' } }, ['#/fees/amount', '#/fees/method']],
    [
      'an id given twice',
      { lines: ['1', '2'].map((amount) => ({ id: 'x', amount, shares: { a: '1' } })) },
      ['#/lines/1/id'],
    ],
    [
      'a refund of an earlier line without what it charged',
      { lines: [{ id: 'x', amount: '-1', refundOf: 'y', shares: { a: '1' } }] },
      ['#/lines/0/charged'],
    ],
    [
      'a refund larger than its charge',
      { lines: [{ id: 'x', amount: '-9', refundOf: 'y', shares: { a: '1' }, charged: { a: '8' } }] },
      ['#/lines/0/amount'],
    ],
    [
      'a refund with the sign of its charge',
      {
        lines: [
          { id: 'y', amount: '9', shares: { a: '1' } },
          { id: 'x', amount: '1', refundOf: 'y' },
        ],
      },
      ['#/lines/1/amount'],
    ],
    [
      'a refund of a refund',
      {
        lines: [
          { id: 'y', amount: '9', shares: { a: '1' } },
          { id: 'x', amount: '-9', refundOf: 'y' },
          { id: 'z', amount: '9', refundOf: 'x' },
        ],
      },
      ['#/lines/2/refundOf', '#/lines/2/shares'],
    ],
    [
      'other shares than the original has',
      {
        lines: [
          { id: 'y', amount: '9', shares: { a: '1' } },
          { id: 'x', amount: '1', adjusts: 'y', shares: { b: '1' } },
        ],
      },
      ['#/lines/1/shares'],
    ],
    ['text', 'receipt', ['#']],
  ])('refuses %s and says where', (_, input, expected) => {
    expect(pointers(input)).toEqual(expected);
  });
});

describe('a thousand receipts whose weights have no factor in common', () => {
  const primes = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83, 89, 97];
  const households = ['a', 'b', 'c', 'd', 'e', 'f', 'g'];
  // The exact sums themselves would grow without end, so they are kept in units of 10^-40, rounded down each time.
  const fine = 10n ** 40n;

  it('keep short fractions, and everybody within a unit of what was due', () => {
    let carried: Record<string, string> = {};
    let common = rational(0n);
    const due = new Map<string, bigint>();
    const paid = new Map<string, bigint>();
    for (let i = 0; i < 1000; i++) {
      const weights = households.map((id, h) => [id, BigInt(primes[(i * (h + 2) + h) % primes.length] ?? 1)] as const);
      const all = weights.reduce((sum, [, weight]) => sum + weight, 0n);
      const amount = BigInt(((i * 7919) % 20_011) - 300);
      const shares = Object.fromEntries(weights.map(([id, weight]) => [id, `${weight}`]));
      const result = costSplit({ lines: [{ id: `r${i}`, amount: `${amount}`, shares }], carried });
      carried = result.carriedAfter;
      common = add(common, parse(result.common ?? '0'));
      for (const [id, weight] of weights) {
        due.set(id, (due.get(id) ?? 0n) + (amount * weight * fine) / all);
        paid.set(id, (paid.get(id) ?? 0n) + BigInt(result.totals[id] ?? '0'));
      }
      for (const [id, text] of Object.entries(carried)) {
        expect(parse(text).d <= largestCarriedDenominator).toBe(true);
        const off = (due.get(id) ?? 0n) - (paid.get(id) ?? 0n) * fine;
        expect(off < fine && off > -fine).toBe(true);
      }
    }
    expect(isZero(add(common, sum(Object.values(carried).map(parse))))).toBe(true);
  });
});
