import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { ceil, floor, parse, rational } from '../rational.ts';
import { drawOrder } from './draw.ts';
import { allocateByWeight, exactShares, largestRemainder } from './largest-remainder.ts';

const weights = (record: Record<string, string>) =>
  new Map(Object.entries(record).map(([id, text]) => [id, parse(text)]));

describe('largestRemainder', () => {
  it('gives what is left to the largest remainders', () => {
    expect(allocateByWeight(40n, weights({ ours: '3.8', theirs: '2' }), 's')).toEqual(
      new Map([
        ['ours', 26n],
        ['theirs', 14n],
      ]),
    );
  });

  it('draws equal remainders by lot, so that over many seeds each gets the odd unit about as often', () => {
    const odd = { a: 0, b: 0, c: 0 };
    for (let round = 0; round < 300; round++) {
      const amounts = allocateByWeight(1n, weights({ a: '1', b: '1', c: '1' }), `round ${round}`);
      for (const id of ['a', 'b', 'c'] as const) odd[id] += Number(amounts.get(id));
    }
    expect(odd.a + odd.b + odd.c).toBe(300);
    for (const times of Object.values(odd)) expect(times).toBeGreaterThan(70);
  });

  it('divides a negative total as well', () => {
    const amounts = allocateByWeight(-10n, weights({ a: '1', b: '2' }), 's');
    expect([...amounts.values()].reduce((x, y) => x + y)).toBe(-10n);
    expect(amounts.get('a')).toBe(-3n);
  });

  it('gives nothing to a weight of nil and refuses when all are nil', () => {
    expect(allocateByWeight(7n, weights({ a: '0', b: '1' }), 's').get('a')).toBe(0n);
    expect(() => allocateByWeight(7n, weights({ a: '0' }), 's')).toThrow(RangeError);
    expect(() => largestRemainder(new Map(), 1n, 's')).toThrow(RangeError);
    expect(largestRemainder(new Map(), 0n, 's').size).toBe(0);
  });

  it('sums to the total, stays at floor or ceiling and does not depend on the order', () => {
    const anyWeights = fc.uniqueArray(
      fc.tuple(fc.string({ minLength: 1 }), fc.nat(1000), fc.integer({ min: 1, max: 30 })),
      {
        selector: ([id]) => id,
        minLength: 1,
        maxLength: 12,
      },
    );
    fc.assert(
      fc.property(anyWeights, fc.bigInt(-100_000n, 100_000n), fc.string(), (parts, total, seed) => {
        fc.pre(parts.some(([, n]) => n > 0));
        const given = parts.map(([id, n, d]) => [id, rational(BigInt(n), BigInt(d))] as const);
        const amounts = allocateByWeight(total, new Map(given), seed);
        expect([...amounts.values()].reduce((x, y) => x + y, 0n)).toBe(total);
        for (const [id, share] of exactShares(total, new Map(given))) {
          expect([floor(share), ceil(share)]).toContain(amounts.get(id));
        }
        const backwards = allocateByWeight(total, new Map([...given].reverse()), seed);
        expect(new Map([...backwards].sort())).toEqual(new Map([...amounts].sort()));
      }),
    );
  });
});

describe('drawOrder', () => {
  it('keeps everyone once and changes with the seed only', () => {
    const ids = ['a', 'b', 'c', 'd', 'e'];
    expect(drawOrder('x', [...ids].reverse())).toEqual(drawOrder('x', ids));
    expect([...drawOrder('x', ids)].sort()).toEqual(ids);
    const firsts = new Set(Array.from({ length: 60 }, (_, round) => drawOrder(`${round}`, ids)[0]));
    expect(firsts.size).toBe(5);
  });
});
