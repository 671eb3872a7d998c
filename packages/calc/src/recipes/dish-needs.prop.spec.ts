import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Rational } from '../rational.ts';
import { add, div, eq, format, mul, parse, rational, zero } from '../rational.ts';
import type { KeptVersion } from './dish-needs.ts';
import { countedIn, needsOfDishes, needsWithBatchMore, versionsInside } from './dish-needs.ts';
import { ownDensity } from './recipe-version.ts';

const line = (more: Partial<KeptVersion['lines'][number]>): KeptVersion['lines'][number] => ({
  ingredientId: null,
  componentVersionId: null,
  quantity: '1',
  unit: 'g',
  edibleYield: null,
  ...more,
});

describe('what dishes need', () => {
  const ingredients = new Map([
    ['tomatoes', { id: 'tomatoes', baseUnit: 'g' }],
    ['oil', { id: 'oil', baseUnit: 'mL', density: ownDensity('oil', '0.9', 'weighed') }],
    ['salt', { id: 'salt', baseUnit: 'g' }],
  ]);
  const base: KeptVersion = {
    id: 'base',
    makes: { quantity: '10', unit: 'L' },
    potLitres: '6',
    lines: [
      line({ ingredientId: 'tomatoes', quantity: '8', unit: 'kg', edibleYield: '0.8' }),
      line({ ingredientId: 'oil', quantity: '200', unit: 'mL' }),
      line({ ingredientId: 'salt', quantity: '0' }),
    ],
  };
  const pot: KeptVersion = {
    id: 'pot',
    makes: { quantity: '8', unit: 'kg' },
    potLitres: '12',
    lines: [
      line({ componentVersionId: 'base', quantity: '4', unit: 'L' }),
      line({ ingredientId: 'oil', quantity: '90', unit: 'g' }),
    ],
  };
  const dishes = [
    { id: 'soup', versionId: 'base', batches: 1 },
    { id: 'stew', versionId: 'pot', batches: 2 },
  ];

  it('is summed over shared bases before anything is rounded, each ingredient in its own unit', () => {
    const { total, byDish, makes } = needsOfDishes([base, pot], ingredients, dishes, 'metric');
    // 10 L and 2 x 4 L of base: 18 L. Tomatoes 8000 / 0.8 x 1.8; oil 200 x 1.8 + 2 x 90 / 0.9.
    expect([...total].map(([id, need]) => [id, format(need)])).toEqual([
      ['oil', '560'],
      ['tomatoes', '18000'],
    ]);
    expect(format(byDish.get('soup')?.get('oil') ?? zero)).toBe('200');
    expect(format(byDish.get('stew')?.get('oil') ?? zero)).toBe('360');
    expect(makes.get('base')).toEqual({ exact: parse('18'), unit: 'L', batches: 3 });
    // A pot says nothing of a dish that is weighed.
    expect(makes.get('pot')).toEqual({ exact: parse('16'), unit: 'kg', batches: 2 });
    expect(countedIn('each').id).toBe('each');
    expect([...(versionsInside([base, pot]).get('pot') ?? [])]).toEqual(['base']);
  });

  it('refuses a version that is not there', () => {
    expect(() => needsOfDishes([base], ingredients, [{ id: 'x', versionId: 'pot', batches: 1 }], 'metric')).toThrow(
      expect.objectContaining({ code: 'unknown-recipe' }),
    );
  });

  it('of all dishes is the sum of what each needs, and grows with its batches', () => {
    const batches = fc.integer({ min: 1, max: 9 });
    const quantity = fc
      .tuple(fc.bigInt({ min: 1n, max: 500n }), fc.bigInt({ min: 1n, max: 12n }))
      .map(([n, d]) => format(rational(n, d)));
    fc.assert(
      fc.property(batches, batches, quantity, quantity, (soups, stews, ofBase, ofTomatoes) => {
        const other: KeptVersion = {
          ...pot,
          lines: [
            line({ componentVersionId: 'base', quantity: ofBase, unit: 'L' }),
            line({ ingredientId: 'tomatoes', quantity: ofTomatoes, unit: 'g' }),
          ],
        };
        const wanted = [
          { id: 'soup', versionId: 'base', batches: soups },
          { id: 'stew', versionId: 'pot', batches: stews },
        ];
        const { total, byDish } = needsOfDishes([base, other], ingredients, wanted, 'metric');
        const of = (dish: string): Rational => byDish.get(dish)?.get('tomatoes') ?? zero;
        expect(eq(total.get('tomatoes') ?? zero, add(of('soup'), of('stew')))).toBe(true);
        const litres = div(parse(ofBase), parse('10'));
        const expected = mul(rational(BigInt(stews)), add(mul(parse('10000'), litres), parse(ofTomatoes)));
        expect(eq(of('stew'), expected)).toBe(true);
        const [soup = { id: '', versionId: '', batches: 0 }, stew] = wanted;
        const bigger = [{ ...soup, batches: soups + 1 }, ...(stew ? [stew] : [])];
        const more = needsOfDishes([base, other], ingredients, bigger, 'metric');
        expect(needsWithBatchMore({ total, byDish, makes: new Map() }, soup)).toEqual(more.total);
      }),
    );
  });
});
