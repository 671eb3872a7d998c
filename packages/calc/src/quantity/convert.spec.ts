import { describe, expect, it } from '@jest/globals';
import { convert } from './convert.ts';

const refusal = (input: unknown): unknown => {
  try {
    return convert(input);
  } catch (error) {
    return error;
  }
};

describe('convert', () => {
  it('knows the exact factors', () => {
    expect(convert({ quantity: 1, from: 'lb', to: 'g' })).toEqual({ exact: '45359237/100000', decimal: '453.59237' });
    expect(convert({ quantity: '1', from: 'gal', to: 'tsp' }).exact).toBe('768');
    expect(convert({ quantity: '2', from: 'dozen', to: 'each' }).exact).toBe('24');
  });

  it('shows the decimal rounded to nine places and the fraction beside it', () => {
    expect(convert({ quantity: '1', from: 'each', to: 'dozen' })).toEqual({ exact: '1/12', decimal: '0.083333333' });
  });

  it('reads a cup, a spoon and a label ounce in the chosen set of measures', () => {
    const millilitres = (measures: string | undefined, from: string) =>
      convert({ quantity: '1', from, to: 'mL', ...(measures ? { measures } : {}) }).decimal;
    expect(millilitres(undefined, 'cup')).toBe('236.5882365');
    expect(['us', 'us-label', 'metric', 'au', 'imperial'].map((measures) => millilitres(measures, 'cup'))).toEqual([
      '236.5882365',
      '240',
      '250',
      '250',
      '284.130625',
    ]);
    expect(['metric', 'au'].map((measures) => millilitres(measures, 'tbsp'))).toEqual(['15', '20']);
    expect(convert({ quantity: '1', from: 'oz', to: 'g', measures: 'us-label' }).exact).toBe('28');
    expect(convert({ quantity: '1', from: 'au-tbsp', to: 'metric-tsp', measures: 'us' }).exact).toBe('4');
  });

  it('takes names in any letter case, in the plural and in full', () => {
    for (const from of ['mL', 'ml', 'ML', 'millilitres', 'Milliliter']) {
      expect(convert({ quantity: '1000', from, to: 'litre' }).exact).toBe('1');
    }
    expect(convert({ quantity: '1', from: 'fluid  ounces', to: 'fl oz' }).exact).toBe('1');
  });

  it('turns a volume into a mass by a published density, and says whose it is', () => {
    const flour = convert({ quantity: '2', from: 'cup', to: 'g', density: { source: 'usda-sr28', item: '20081' } });
    expect(flour).toMatchObject({
      exact: '250',
      source: { id: 'usda-sr28', edition: '2015', item: 'flour-all-purpose', grams: '125' },
    });
    const back = convert({
      quantity: '250',
      from: 'g',
      to: 'cup',
      density: { source: 'usda-sr28', item: 'flour-all-purpose' },
    });
    expect(back.exact).toBe('2');
    const ice = convert({
      quantity: '1',
      from: 'L',
      to: 'kg',
      density: { source: 'fao-infoods-density', item: 'ice' },
    });
    expect(ice).toMatchObject({ decimal: '0.916', source: { edition: '2011' } });
  });

  it("takes a density of one's own under a name of one's own", () => {
    const density = { source: 'kitchen scales, May', item: 'ragu', gramsPerMl: '1.05' };
    expect(convert({ quantity: '2', from: 'L', to: 'kg', density })).toMatchObject({
      exact: '21/10',
      source: { id: 'kitchen scales, May', item: 'ragu' },
    });
    expect(refusal({ quantity: '2', from: 'L', to: 'kg', density: { ...density, source: 'usda-sr28' } })).toMatchObject(
      {
        code: 'invalid-input',
        errors: [{ pointer: '#/density/gramsPerMl' }],
      },
    );
  });

  it('names no source where no density was needed', () => {
    const density = { source: 'usda-sr28', item: 'butter' };
    expect(convert({ quantity: '2', from: 'kg', to: 'g', density })).toEqual({ exact: '2000', decimal: '2000' });
  });

  it.each([
    [{ quantity: '1', from: 'cup', to: 'g' }, 'density-missing', '#/to'],
    [{ quantity: '1', from: 'g', to: 'each' }, 'units-incompatible', '#/to'],
    [{ quantity: '1', from: 'portion', to: 'each' }, 'units-incompatible', '#/to'],
    [{ quantity: '1', from: 'furlong', to: 'g' }, 'unknown-unit', '#/from'],
    [{ quantity: '1', from: 'pt', to: 'mL', measures: 'metric' }, 'unknown-unit', '#/from'],
    [
      { quantity: '1', from: 'cup', to: 'g', density: { source: 'usda-sr99', item: 'x' } },
      'unknown-density',
      '#/density/source',
    ],
    [
      { quantity: '1', from: 'cup', to: 'g', density: { source: 'usda-sr28', item: 'x' } },
      'unknown-density',
      '#/density/item',
    ],
    [
      { quantity: '1', from: 'cup', to: 'g', density: { source: 'usda-sr28', item: '19334' } },
      'unknown-density',
      '#/density/item',
    ],
    [{ quantity: '-1', from: 'g', to: 'kg' }, 'invalid-input', '#/quantity'],
    [{ quantity: 0.1, from: 'g', to: 'kg' }, 'invalid-input', '#/quantity'],
    [{ quantity: '1', from: 'g', to: 'kg', measures: 'troy' }, 'invalid-input', '#/measures'],
    [{ quantity: '1', from: 'constructor', to: 'g' }, 'unknown-unit', '#/from'],
  ])('refuses %j with %s', (input, code, pointer) => {
    expect(refusal(input)).toMatchObject({ code, errors: [{ pointer }] });
  });
});
