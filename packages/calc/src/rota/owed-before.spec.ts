import { describe, expect, it } from '@jest/globals';
import { rotaPublished } from '../ledger/turn-entries.ts';
import { add, div, format, mul, rational, sub, zero } from '../rational.ts';
import type { CarriedTurns } from './owed-before.ts';
import { owedBefore } from './owed-before.ts';

const whole = (n: number) => rational(BigInt(n));
const carried = (weight: number, balance: bigint, published: number): CarriedTurns => ({
  weight: whole(weight),
  balance,
  published,
});
const owed = (households: Record<string, CarriedTurns>, open = 0) =>
  Object.fromEntries(
    [...owedBefore(new Map(Object.entries(households)), open)].map(([id, value]) => [id, format(value)]),
  );

describe('what is owed before a rota', () => {
  it('is what the book says where no turn of its weeks is published', () => {
    const books = { a: carried(2, 1_500_000n, 0), b: carried(1, -1_250_000n, 0), c: carried(1, -250_000n, 0) };
    expect(owed(books)).toEqual({ a: '3/2', b: '-5/4', c: '-1/4' });
  });

  it('is nothing where the book holds only the published turns', () => {
    // 4 turns by 2 : 1 : 1 are due 2, 1, 1; a has 1 of them, b 2, c 1.
    const books = { a: carried(2, 1_000_000n, 1), b: carried(1, -1_000_000n, 2), c: carried(1, 0n, 1) };
    expect(owed(books)).toEqual({ a: '0', b: '0', c: '0' });
  });

  it('counts published turns that nobody has among those that are due', () => {
    // As above, but nobody has the turn of a any more: it owes 2 in the book.
    const books = { a: carried(2, 2_000_000n, 0), b: carried(1, -1_000_000n, 2), c: carried(1, 0n, 1) };
    expect(owed(books, 1)).toEqual({ a: '0', b: '0', c: '0' });
  });

  it('keeps the millionth that rounding in the book gave one of three', () => {
    // 1 turn among three is booked as 333334, 333333 and 333333 micro-turns: 333334/1000000 - 1/3 = 1/1500000.
    const books = { a: carried(1, -666_666n, 1), b: carried(1, 333_333n, 0), c: carried(1, 333_333n, 0) };
    expect(owed(books)).toEqual({ a: '1/1500000', b: '-1/3000000', c: '-1/3000000' });
  });

  it('gives nobody a share where nobody has a weight', () => {
    expect(owed({ a: carried(0, -1_000_000n, 1), b: carried(0, 0n, 0) }, 1)).toEqual({ a: '0', b: '0' });
    expect(owed({})).toEqual({});
  });

  it('leaves after the rota what the book says once its new turns are booked', () => {
    const weights = new Map([
      ['a', whole(2)],
      ['b', whole(1)],
      ['c', whole(1)],
    ]);
    const books = new Map([
      ['a', carried(2, 1_250_000n, 1)],
      ['b', carried(1, -750_000n, 2)],
      ['c', carried(1, 500_000n, 0)],
    ]);
    const open = 1;
    // 4 turns are published and 8 are in the new rota, which gives c three of the new ones and a one.
    const fresh = new Map([
      ['a', 1],
      ['c', 3],
    ]);
    const { postings } = rotaPublished({ weights, due: 4, given: fresh, seed: 'x' });
    for (const [id, before] of owedBefore(books, open)) {
      const { weight = zero, balance = 0n, published = 0 } = books.get(id) ?? {};
      const target = add(before, div(mul(whole(8), weight), whole(4)));
      const after = sub(target, whole(published + (fresh.get(id) ?? 0)));
      const booked = postings
        .filter(({ account }) => account.kind === 'household' && account.householdId === id)
        .reduce((total, { amount }) => total + amount, balance);
      expect([id, format(after)]).toEqual([id, format(rational(booked, 1_000_000n))]);
    }
  });
});
