import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Rational } from '../rational.ts';
import { add, cmp, div, eq, isZero, mul, parse, rational, sign, sub, sum, zero } from '../rational.ts';
import { fractionalDivision } from './fractional.ts';
import { nearestBase } from './nearest-base.ts';
import { filling, isLeximin } from './verify-fluid.ts';

const small = fc.integer({ min: 0, max: 40 });
const fluid = fc.integer({ min: 1, max: 6 }).chain((households) =>
  fc.integer({ min: 1, max: 5 }).chain((dishes) =>
    fc.record({
      supply: fc.array(
        small.map((n) => rational(BigInt(n), 2n)),
        { minLength: dishes, maxLength: dishes },
      ),
      eats: fc.array(fc.array(fc.boolean(), { minLength: dishes, maxLength: dishes }), {
        minLength: households,
        maxLength: households,
      }),
      aim: fc.array(
        fc.integer({ min: -30, max: 60 }).map((n) => rational(BigInt(n), 3n)),
        { minLength: households, maxLength: households },
      ),
      weight: fc.array(
        fc.integer({ min: 1, max: 9 }).map((n) => rational(BigInt(n), 2n)),
        { minLength: households, maxLength: households },
      ),
    }),
  ),
);

/** The least of sum g x over all divisions, by the greedy rule for polymatroids (Edmonds 1970): the cheapest first, each as much as it can. */
function leastAlong(
  g: readonly Rational[],
  supply: readonly Rational[],
  eats: readonly (readonly boolean[])[],
): Rational {
  const left = [...supply];
  return g
    .map((gradient, h) => ({ gradient, h }))
    .sort((a, b) => cmp(a.gradient, b.gradient))
    .reduce((total, { gradient, h }) => {
      const mine = sum(left.filter((_, d) => eats[h]?.[d]));
      left.forEach((_, d) => {
        if (eats[h]?.[d]) left[d] = zero;
      });
      return add(total, mul(gradient, mine));
    }, zero);
}

describe('nearestBase', () => {
  it('is a division, and none is nearer: the gradient has its least value there', () => {
    fc.assert(
      fc.property(fluid, (given) => {
        const { supply, eats, aim, weight } = given;
        const amounts = nearestBase(given);
        expect(filling(amounts, supply, eats)).toBeDefined();
        const eatable = sum(supply.filter((_, d) => eats.some((row) => row[d])));
        expect(eq(sum(amounts), eatable)).toBe(true);
        const gradient = amounts.map((amount, h) => div(sub(amount, aim[h] ?? zero), weight[h] ?? zero));
        const here = sum(gradient.map((g, h) => mul(g, amounts[h] ?? zero)));
        expect(eq(here, leastAlong(gradient, supply, eats))).toBe(true);
      }),
      { numRuns: 400 },
    );
  });

  it('is the weighted leximin division when everyone aims at nothing', () => {
    fc.assert(
      fc.property(fluid, ({ supply, eats, aim, weight }) => {
        const amounts = nearestBase({ supply, eats, weight, aim: aim.map(() => zero) });
        const eatable = supply.map((amount, d) => (eats.some((row) => row[d]) ? amount : zero));
        const noLimits = amounts.map(() => undefined);
        expect(isLeximin(amounts, weight, eatable, eats, noLimits)).toBe(true);
        const [first, second] = amounts;
        fc.pre(first !== undefined && second !== undefined && sign(first) > 0 && !eq(first, zero));
        const moved = [sub(first ?? zero, parse('1/7')), add(second ?? zero, parse('1/7')), ...amounts.slice(2)];
        expect(isLeximin(moved, weight, eatable, eats, noLimits)).toBe(false);
      }),
    );
  });

  it('spreads every dish with exact sums on both sides', () => {
    fc.assert(
      fc.property(fluid, (given) => {
        const { supply, eats } = given;
        const rows = nearestBase(given);
        const table = fractionalDivision(rows, supply, eats);
        table.forEach((row, h) => {
          expect(eq(sum(row), rows[h] ?? zero)).toBe(true);
          row.forEach((amount, d) => expect(sign(amount) >= 0 && (isZero(amount) || eats[h]?.[d])).toBe(true));
        });
        supply.forEach((amount, d) => {
          const eatable = eats.some((row) => row[d]) ? amount : zero;
          expect(eq(sum(table.map((row) => row[d] ?? zero)), eatable)).toBe(true);
        });
      }),
      { numRuns: 300 },
    );
  });
});
