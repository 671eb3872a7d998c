import { describe, expect, it } from '@jest/globals';
import { explode } from './explode.ts';

const portions = (quantity: string | number) => ({ quantity, unit: 'portion' });
const grams = (quantity: string | number) => ({ quantity, unit: 'g' });
const litres = (quantity: string | number) => ({ quantity, unit: 'L' });

const base = {
  id: 'base',
  makes: litres(3),
  lines: [
    { item: 'tomato', ...grams(2000) },
    { item: 'tin', quantity: 2, unit: 'can' },
  ],
};
const bake = {
  id: 'bake',
  makes: portions(8),
  lines: [
    { recipe: 'base', ...litres(2) },
    { item: 'pasta', ...grams(500) },
  ],
};
const filled = {
  id: 'filled',
  makes: portions(10),
  lines: [
    { recipe: 'base', ...litres(1) },
    { item: 'flour', ...grams(400) },
  ],
};

describe('explode', () => {
  it('sums what is needed of a shared base over all that use it, and rounds an indivisible item once', () => {
    const result = explode({
      recipes: [base, bake, filled],
      wanted: [
        { recipe: 'bake', ...portions(12) },
        { recipe: 'filled', ...portions(15) },
        { recipe: 'base', ...litres('1/2') },
      ],
      wholeUnits: { tin: { quantity: 1, unit: 'can' } },
    });
    expect(result).toEqual({
      needs: {
        flour: { exact: '600', unit: 'g' },
        pasta: { exact: '750', unit: 'g' },
        // Bought for each dish by itself it would be 2 + 1 + 1 tins.
        tin: { exact: '10/3', unit: 'can', purchase: '4', surplus: '2/3' },
        tomato: { exact: '10000/3', unit: 'g' },
      },
      makes: {
        bake: { exact: '12', unit: 'portion', batches: 2 },
        base: { exact: '5', unit: 'L', batches: 2 },
        filled: { exact: '15', unit: 'portion', batches: 2 },
      },
    });
  });

  it('divides by the yields, one after the other', () => {
    const melon = { item: 'melon', quantity: 2, unit: 'lb', edibleYield: '0.61' };
    const beans = { item: 'beans', ...grams(600), edibleYield: '0.9', cookedYield: '3' };
    const recipe = { id: 'x', makes: portions(1), lines: [melon, beans] };
    expect(explode({ recipes: [recipe], wanted: [{ recipe: 'x', ...portions(1) }] }).needs).toEqual({
      beans: { exact: '2000/9', unit: 'g' },
      melon: { exact: '200/61', unit: 'lb' },
    });
  });

  it('divides a component by what cooking leaves of it', () => {
    const reduced = { id: 'reduced', makes: litres(1), lines: [{ recipe: 'base', ...litres(1), cookedYield: '1/2' }] };
    expect(explode({ recipes: [reduced, base], wanted: [{ recipe: 'reduced', ...litres(3) }] }).makes).toMatchObject({
      base: { exact: '6' },
    });
  });

  it('takes what is in stock first, of items and of recipes', () => {
    const wanted = [{ recipe: 'bake', ...portions(12) }];
    const stock = { base: litres(2), pasta: { quantity: '0.5', unit: 'kg' }, saffron: grams(3) };
    const { needs, makes } = explode({ recipes: [base, bake], wanted, stock });
    expect(makes).toMatchObject({ base: { exact: '1', batches: 1 } });
    expect(needs).toMatchObject({ pasta: { exact: '250' }, tomato: { exact: '2000/3' } });
    const plenty = explode({ recipes: [base, bake], wanted, stock: { base: litres(50), pasta: grams(5000) } });
    expect(plenty.makes).toMatchObject({ base: { exact: '0', batches: 0 } });
    expect(plenty.needs).toMatchObject({ pasta: { exact: '0' }, tomato: { exact: '0' } });
  });

  it('fills pots equally and no pot over its size', () => {
    const wanted = [{ recipe: 'base', ...litres(11) }];
    expect(explode({ recipes: [{ ...base, potLitres: '5' }], wanted }).makes).toEqual({
      base: { exact: '11', unit: 'L', batches: 3 },
    });
    expect(explode({ recipes: [{ ...base, potLitres: '5.5' }], wanted }).makes['base']?.batches).toBe(2);
  });

  it('sums different units of one kind in grams, and volumes with weights by a density with its source', () => {
    const line = (quantity: string, unit: string) => ({ item: 'flour', quantity, unit });
    const dough = { id: 'dough', makes: portions(1), lines: [line('1', 'kg'), line('2', 'cup'), line('500', 'g')] };
    const wanted = [{ recipe: 'dough', ...portions(1) }];
    expect(
      explode({ recipes: [dough], wanted, densities: { flour: { source: 'usda-sr28', item: 'flour-all-purpose' } } }),
    ).toMatchObject({ needs: { flour: { exact: '1750', unit: 'g' } }, sources: ['usda-sr28'] });
    expect(() => explode({ recipes: [dough], wanted })).toThrow(
      expect.objectContaining({
        code: 'density-missing',
        errors: [expect.objectContaining({ pointer: '#/recipes/0/lines/1/unit' })],
      }),
    );
  });

  it('takes its published yields from one table only, and names it', () => {
    const line = (item: string, source: string, food: string) => ({
      item,
      ...grams(100),
      edibleYield: { source, item: food },
    });
    const recipe = (lines: unknown[]) => ({ id: 'x', makes: portions(1), lines });
    const wanted = [{ recipe: 'x', ...portions(1) }];
    const one = explode({
      recipes: [recipe([line('potato', 'afrs', 'potato-white'), line('garlic', 'afrs', 'garlic')])],
      wanted,
    });
    expect(one).toMatchObject({ needs: { potato: { exact: '123' }, garlic: { exact: '106' } }, sources: ['afrs'] });
    const two = recipe([line('potato', 'afrs', 'potato-white'), line('garlic', 'usda-sr28', 'garlic')]);
    expect(() => explode({ recipes: [two], wanted })).toThrow(
      expect.objectContaining({
        code: 'sources-mixed',
        errors: [
          expect.objectContaining({ pointer: '#/recipes/0/lines/0/edibleYield' }),
          expect.objectContaining({ pointer: '#/recipes/0/lines/1/edibleYield' }),
        ],
      }),
    );
  });

  it("takes its published densities from one table only, and figures of one's own besides", () => {
    const lines = ['flour', 'water'].flatMap((item) => [
      { item, ...grams(100) },
      { item, quantity: 1, unit: 'mL' },
    ]);
    const input = {
      recipes: [{ id: 'dough', makes: portions(1), lines }],
      wanted: [{ recipe: 'dough', ...portions(1) }],
      densities: {
        flour: { source: 'usda-sr28', item: 'flour-all-purpose' },
        water: { source: 'our scales', item: 'water', gramsPerMl: '1' },
      },
    };
    expect(explode(input)).toMatchObject({ needs: { water: { exact: '101' } }, sources: ['our scales', 'usda-sr28'] });
    const water = { source: 'fao-infoods-density', item: 'water' };
    expect(() => explode({ ...input, densities: { ...input.densities, water } })).toThrow(
      expect.objectContaining({ code: 'sources-mixed' }),
    );
  });

  it('names a cycle, and refuses one even where nobody wants it', () => {
    const a = { id: 'a', makes: portions(1), lines: [{ recipe: 'b', ...portions(1) }] };
    const b = { id: 'b', makes: portions(1), lines: [{ recipe: 'a', ...portions(1) }] };
    expect(() => explode({ recipes: [b, a], wanted: [] })).toThrow(
      expect.objectContaining({ code: 'recipe-cycle', message: 'A recipe would contain itself: a > b > a.' }),
    );
  });

  const simple = { id: 'x', makes: portions(1), lines: [{ item: 'i', ...grams(1) }] };
  it.each([
    [{ recipes: [simple, simple], wanted: [] }, 'duplicate-id', '#/recipes/1/id'],
    [{ recipes: [simple], wanted: [{ recipe: 'y', ...portions(1) }] }, 'unknown-recipe', '#/wanted/0/recipe'],
    [
      { recipes: [{ ...simple, lines: [{ recipe: 'y', ...grams(1) }] }], wanted: [] },
      'unknown-recipe',
      '#/recipes/0/lines/0/recipe',
    ],
    [
      { recipes: [{ ...simple, lines: [{ item: 'x', ...grams(1) }] }], wanted: [] },
      'duplicate-id',
      '#/recipes/0/lines/0/item',
    ],
    [{ recipes: [{ ...simple, lines: [{ ...grams(1) }] }], wanted: [] }, 'invalid-input', '#/recipes/0/lines/0'],
    [
      { recipes: [{ ...simple, lines: [{ recipe: 'x', item: 'i', ...grams(1) }] }], wanted: [] },
      'invalid-input',
      '#/recipes/0/lines/0',
    ],
    [{ recipes: [{ ...simple, makes: portions(0) }], wanted: [] }, 'invalid-input', '#/recipes/0/makes/quantity'],
    [
      { recipes: [{ ...simple, makes: { quantity: 1, unit: 'vat' } }], wanted: [] },
      'unknown-unit',
      '#/recipes/0/makes/unit',
    ],
    [
      { recipes: [{ ...simple, lines: [{ item: 'i', ...grams(1), edibleYield: '0' }] }], wanted: [] },
      'invalid-input',
      '#/recipes/0/lines/0/edibleYield',
    ],
    [{ recipes: [simple], wanted: [{ recipe: 'x', ...grams(1) }] }, 'units-incompatible', '#/wanted/0/unit'],
    [
      { recipes: [{ ...simple, potLitres: '5' }], wanted: [{ recipe: 'x', ...portions(1) }] },
      'units-incompatible',
      '#/recipes/0/potLitres',
    ],
    [
      { recipes: [simple], wanted: [{ recipe: 'x', ...portions(1) }], stock: { i: portions(1) } },
      'units-incompatible',
      '#/stock/i/unit',
    ],
    [{ recipes: [simple], wanted: [], wholeUnits: { x: grams(1) } }, 'invalid-input', '#/wholeUnits/x'],
    [{ recipes: [simple], wanted: [], wholeUnits: { i: grams(0) } }, 'invalid-input', '#/wholeUnits/i/quantity'],
  ])('refuses %j', (input, code, pointer) => {
    expect(() => explode(input)).toThrow(
      expect.objectContaining({ code, errors: [expect.objectContaining({ pointer })] }),
    );
  });

  it('refuses more batches than can be counted', () => {
    const wanted = [{ recipe: 'x', ...portions('9'.repeat(40)) }];
    expect(() => explode({ recipes: [simple], wanted })).toThrow(expect.objectContaining({ code: 'too-large' }));
  });
});
