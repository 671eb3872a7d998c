import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Rational } from '../rational.ts';
import { abs, cmp, eq, format, one, rational, sub, sum } from '../rational.ts';
import { costShares } from './cost-shares.ts';
import { dishCosts, wholeDishCosts } from './dish-costs.ts';

const shown = (shares: ReadonlyMap<string, Rational>): Record<string, string> =>
  Object.fromEntries([...shares].map(([id, weight]) => [id, format(weight)]));

describe('who shares the cost of an ingredient', () => {
  const participants = [
    { householdId: 'any', weight: '2', mustNot: [] },
    { householdId: 'no milk', weight: '3/2', mustNot: ['milk'] },
    { householdId: 'no meat', weight: '5/2', mustNot: ['no_meat'] },
    { householdId: 'gone', weight: '0', mustNot: [] },
  ];
  const dishes = [
    { unfitFor: ['no_meat', 'vegan'], ingredients: new Set(['mince', 'tomatoes']) },
    { unfitFor: ['milk', 'vegan'], ingredients: new Set(['cream', 'tomatoes']) },
    { unfitFor: ['milk', 'no_meat'], ingredients: new Set(['pie']) },
  ];

  it('is who may eat at least one of the dishes that it goes into', () => {
    expect(shown(costShares('mince', dishes, participants))).toEqual({ any: '2', 'no milk': '3/2' });
    expect(shown(costShares('cream', dishes, participants))).toEqual({ any: '2', 'no meat': '5/2' });
    expect(shown(costShares('tomatoes', dishes, participants))).toEqual({
      any: '2',
      'no milk': '3/2',
      'no meat': '5/2',
    });
    expect(shown(costShares('pie', dishes, participants))).toEqual({ any: '2' });
  });

  it('is everybody for what goes into no dish, or only into what nobody may eat', () => {
    const everybody = { any: '2', 'no milk': '3/2', 'no meat': '5/2' };
    expect(shown(costShares(null, dishes, participants))).toEqual(everybody);
    expect(shown(costShares('foil', dishes, participants))).toEqual(everybody);
    const barred = participants.map((each) => ({ ...each, mustNot: ['milk'] }));
    expect(shown(costShares('cream', dishes, barred))).toEqual(everybody);
  });

  it('is nobody when nobody has a weight', () => {
    expect(costShares(null, dishes, [{ householdId: 'gone', weight: '0', mustNot: [] }]).size).toBe(0);
  });
});

describe('what a dish costs', () => {
  const needs = (entries: [string, bigint][]): Map<string, Rational> =>
    new Map(entries.map(([id, quantity]) => [id, rational(quantity)]));

  it('is its part of each ingredient and of the fees', () => {
    const dishes = [
      { id: 'soup', portions: 30, needs: needs([['tomatoes', 10n]]) },
      {
        id: 'pot',
        portions: 10,
        needs: needs([
          ['tomatoes', 5n],
          ['mince', 3n],
        ]),
      },
    ];
    const goodsMinor = new Map([
      ['tomatoes', 1000n],
      ['mince', 777n],
    ]);
    const exact = dishCosts({ goodsMinor, feesMinor: 200n, dishes });
    // 1000 x 10/15 + 200 x 30/40; 1000 x 5/15 + 777 + 200 x 10/40.
    expect(format(exact.get('soup') as Rational)).toBe('2450/3');
    expect(format(exact.get('pot') as Rational)).toBe('3481/3');
    expect([...wholeDishCosts(exact, 'x')]).toEqual(
      expect.arrayContaining([
        ['soup', 817n],
        ['pot', 1160n],
      ]),
    );
  });

  it('is unknown where a price is, and only there', () => {
    const dishes = [
      { id: 'soup', portions: 1, needs: needs([['tomatoes', 1n]]) },
      {
        id: 'rice',
        portions: 1,
        needs: needs([
          ['saffron', 1n],
          ['tomatoes', 1n],
        ]),
      },
    ];
    const exact = dishCosts({
      goodsMinor: new Map([
        ['tomatoes', 5n],
        ['saffron', null],
      ]),
      feesMinor: 0n,
      dishes,
    });
    expect([format(exact.get('soup') as Rational), exact.get('rice')]).toEqual(['5/2', null]);
    expect(Object.fromEntries(wholeDishCosts(exact, 'x'))).toEqual({ soup: 3n, rice: null });
  });

  it('sums to goods and fees, in exact and in whole minor units', () => {
    const quantity = fc.bigInt({ min: 0n, max: 50n });
    const dish = fc.record({ portions: fc.integer({ min: 1, max: 60 }), a: quantity, b: quantity });
    fc.assert(
      fc.property(
        fc.array(dish, { minLength: 1, maxLength: 8 }),
        fc.bigInt({ min: 0n, max: 99_999n }),
        (given, feesMinor) => {
          const dishes = given.map(({ portions, a, b }, index) => ({
            id: `${index}`,
            portions,
            needs: needs([
              ['a', a],
              ['b', b],
            ]),
          }));
          const used = (id: 'a' | 'b'): boolean => given.some((each) => each[id] > 0n);
          const exact = dishCosts({
            goodsMinor: new Map([
              ['a', 1234n],
              ['b', 1n],
            ]),
            feesMinor,
            dishes,
          });
          const total = (used('a') ? 1234n : 0n) + (used('b') ? 1n : 0n) + feesMinor;
          expect(eq(sum([...exact.values()].map((cost) => cost as Rational)), rational(total))).toBe(true);
          const minor = wholeDishCosts(exact, 'seed');
          expect([...minor.values()].reduce<bigint>((all, cost) => all + (cost ?? 0n), 0n)).toBe(total);
          for (const [id, cost] of exact) {
            expect(cmp(abs(sub(cost as Rational, rational(minor.get(id) ?? 0n))), one)).toBe(-1);
          }
        },
      ),
    );
  });
});
