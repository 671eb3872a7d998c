import { describe, expect, it } from '@jest/globals';
import { rational, sayInKitchen, scale, findUnit } from '@frostmoot/calc';

const { div, format, mul, parse, toDecimal } = rational;

const scaled = (from: unknown, to: unknown, quantity: string, unit: string) => {
  const { factor, quantities } = scale({ from, to, quantities: [{ quantity, unit }] });
  return { factor: toDecimal(parse(factor), 2), ...quantities[0] };
};

describe('US Armed Forces Recipe Service, TM 10-412 (2003), card No. 1', () => {
  it('(2): 348 portions from a card for 100 are the factor 3.48; 1.25 lb becomes 4.35 lb, said 4 lb 5 1/2 oz', () => {
    const pounds = scaled({ portions: 100 }, { portions: 348 }, '1.25', 'lb');
    expect(pounds).toMatchObject({ factor: '3.48', say: '4 lb 5 1/2 oz' });
    expect(toDecimal(parse(pounds.exact ?? ''), 2)).toBe('4.35');
  });

  it('(2): decimals of an ounce round .00-.12 to nothing, .13-.37 to 1/4, .38-.62 to 1/2, .63-.87 to 3/4, .88-.99 to 1', () => {
    const ounce = findUnit('oz', 'us');
    if (!ounce) throw new Error('There is no ounce.');
    const printed = (hundredths: number): string => {
      if (hundredths <= 12) return '1 oz';
      if (hundredths <= 37) return '1 1/4 oz';
      if (hundredths <= 62) return '1 1/2 oz';
      return hundredths <= 87 ? '1 3/4 oz' : '2 oz';
    };
    for (let hundredths = 0; hundredths < 100; hundredths += 1) {
      const text = `1.${String(hundredths).padStart(2, '0')}`;
      expect([text, sayInKitchen(parse(text), ounce, 'us')]).toEqual([text, printed(hundredths)]);
    }
  });

  it('(3), also NAVEDTRA 14163: 6 gal for 100 are, for 333, 19 gal 3 qt 1 pt 1 cup 10 tbsp 2 3/4 tsp', () => {
    expect(scaled({ portions: 100 }, { portions: 333 }, '6', 'gal')).toMatchObject({
      factor: '3.33',
      exact: '999/50',
      say: '19 gal 3 qt 1 pt 1 cup 10 tbsp 2 3/4 tsp',
    });
  });

  it('limited by an ingredient: 102 lb at hand, 30 lb per 100 portions, are the factor 3.40', () => {
    const size = (quantity: string) => ({ portions: 1, portionSize: { quantity, unit: 'lb' } });
    expect(scaled(size('30'), size('102'), '100', 'portion')).toMatchObject({ factor: '3.40', exact: '340' });
  });
});

describe("a culinary textbook's recipe from 10 to 15 portions (read in an excerpt)", () => {
  it.each([
    ['3', 'lb', '4 lb 8 oz'],
    ['2.5', 'cup', '3 3/4 cups'],
    ['20', 'fl oz', '3 3/4 cups'],
    ['1000', 'g', '1500 g'],
    ['400', 'mL', '600 mL'],
  ])('%s %s becomes %s%s', (quantity, unit, said) => {
    expect(scaled({ portions: 10 }, { portions: 15 }, quantity, unit)).toMatchObject({ factor: '1.50', say: said });
  });
});

describe('total yields are compared, not containers', () => {
  it("a college guide's trap: five bowls of 8 oz are ten cups of 4 oz, factor 1", () => {
    const side = (portions: number, quantity: string) => ({ portions, portionSize: { quantity, unit: 'oz' } });
    expect(scaled(side(5, '8'), side(10, '4'), '1', 'lb').factor).toBe('1.00');
  });

  it('USDA Recipes for Schools, pages 17 and 18, salad E-05: 100 portions of 3.49 oz to 80 are the factor 0.80', () => {
    const side = (portions: number) => ({ portions, portionSize: { quantity: '3.49', unit: 'oz' } });
    expect(scaled(side(100), side(80), '1', 'lb').factor).toBe('0.80');
  });

  it('USDA child-care recipes, E-07: 25 servings to 50 turn 3 lb 3 oz into 6 lb 6 oz and 11 oz into 1 lb 6 oz', () => {
    const { quantities } = scale({
      from: { portions: 25 },
      to: { portions: 50 },
      quantities: [
        { id: 'chicken', quantity: '51', unit: 'oz' },
        { id: 'celery', quantity: '11', unit: 'oz' },
      ],
    });
    expect(quantities.map(({ id, say }) => [id, say])).toEqual([
      ['celery', '1 lb 6 oz'],
      ['chicken', '6 lb 6 oz'],
    ]);
  });
});

describe('fractions', () => {
  it('1 1/3 times 2 1/4 is 3 exactly (plain arithmetic)', () => {
    expect(format(mul(parse('4/3'), parse('9/4')))).toBe('3');
    expect(format(div(parse('3'), parse('9/4')))).toBe('4/3');
  });
});
