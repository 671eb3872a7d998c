import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { abs, cmp, div, mul, rational, sub, sum } from '../rational.ts';
import { chairmanBound, chairmanOrder } from './chairman.ts';

const weightsOf = (weights: readonly number[]) =>
  new Map(weights.map((weight, i) => [`h${i}`, rational(BigInt(weight))]));

describe('chairmanOrder', () => {
  it('never lets anybody be further from an even pace than 1 - 1/(2n - 2) (Tijdeman, Discrete Mathematics 32, 1980)', () => {
    const anyWeights = fc
      .array(fc.oneof(fc.nat(9), fc.nat(1000)), { minLength: 1, maxLength: 12 })
      .filter((weights) => weights.some((weight) => weight > 0));
    fc.assert(
      fc.property(anyWeights, fc.integer({ min: 0, max: 150 }), fc.string(), (given, turns, seed) => {
        const weights = weightsOf(given);
        const all = sum(weights.values());
        const bound = chairmanBound(given.filter((weight) => weight > 0).length);
        const had = new Map<string, number>();
        const order = chairmanOrder(weights, turns, seed);
        expect(order).toHaveLength(turns);
        order.forEach((id, k) => {
          had.set(id, (had.get(id) ?? 0) + 1);
          for (const [other, weight] of weights) {
            const due = mul(rational(BigInt(k + 1)), div(weight, all));
            const off = abs(sub(due, rational(BigInt(had.get(other) ?? 0))));
            expect(cmp(off, bound)).toBeLessThanOrEqual(0);
          }
        });
      }),
      { numRuns: 400 },
    );
  });

  it('takes two equal households in turn and one alone always', () => {
    const two = chairmanOrder(weightsOf([1, 1]), 6, 's');
    expect(two[0]).not.toBe(two[1]);
    expect(two.slice(2)).toEqual([...two.slice(0, 2), ...two.slice(0, 2)]);
    expect(chairmanOrder(weightsOf([5, 0]), 3, 's')).toEqual(['h0', 'h0', 'h0']);
  });

  it('refuses when nobody has a weight', () => {
    expect(() => chairmanOrder(weightsOf([0]), 1, 's')).toThrow(RangeError);
  });
});
