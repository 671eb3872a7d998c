import { describe, expect, it } from '@jest/globals';
import { explode, rational, sayInKitchen, findUnit, servingsToBuy } from '@frostmoot/calc';

const { div, format, mul, parse, toDecimal } = rational;

/** What one purchase unit gives, in the published form: so many servings of a size. */
const per = (servings: string, size: string, unit: string) => ({
  quantity: format(mul(parse(servings), parse(size))),
  unit,
});

describe('USDA Food Buying Guide for Child Nutrition Programs, Appendix B', () => {
  const melon = { count: 1, size: '2', unit: 'lb' };

  it('example 1: 2 lb of diced watermelon at 0.61 lb from a pound are 3.28 lb, buy 3.5 lb', () => {
    const { exact, purchase } = servingsToBuy({
      servings: [melon],
      perUnit: { quantity: '0.61', unit: 'lb' },
      purchaseUnit: 'lb',
      roundUpTo: '1/2',
    });
    expect([toDecimal(parse(exact), 2), purchase]).toEqual(['3.28', '7/2']);
  });

  it('example 1 again as a recipe line with its yield', () => {
    const fruit = {
      id: 'fruit',
      makes: { quantity: 1, unit: 'portion' },
      lines: [{ item: 'melon', quantity: 2, unit: 'lb', edibleYield: '0.61' }],
    };
    const wanted = [{ recipe: 'fruit', quantity: 1, unit: 'portion' }];
    const { needs } = explode({ recipes: [fruit], wanted, wholeUnits: { melon: { quantity: '1/2', unit: 'lb' } } });
    expect(needs).toEqual({ melon: { exact: '200/61', unit: 'lb', purchase: '7/2', surplus: '27/122' } });
  });
});

describe('South Dakota Department of Education, "Using the Food Buying Guide"', () => {
  it('195 quarter cups of frozen sliced carrots, 9.87 to the pound: 19.757 lb (printed 19.75), buy 20 lb', () => {
    const { exact, purchase } = servingsToBuy({
      servings: [{ count: 195, size: '1/4', unit: 'cup' }],
      perUnit: per('9.87', '1/4', 'cup'),
      purchaseUnit: 'lb',
      roundUpTo: 1,
    });
    expect([toDecimal(parse(exact), 3), purchase]).toEqual(['19.757', '20']);
  });

  it('45 servings of 1.5 oz and 30 of 2 oz of boneless roast, 9.76 oz to the pound: 13.06 lb, buy 13.25 lb', () => {
    const { exact, purchase } = servingsToBuy({
      servings: [
        { count: 45, size: '1.5', unit: 'oz' },
        { count: 30, size: '2', unit: 'oz' },
      ],
      perUnit: per('9.76', '1', 'oz'),
      purchaseUnit: 'lb',
      roundUpTo: '1/4',
    });
    expect([toDecimal(parse(exact), 2), toDecimal(parse(purchase), 2)]).toEqual(['13.06', '13.25']);
  });

  it('60 servings of 1.5 oz of ground beef, 7.89 to the pound: 7.60 lb, buy 7.75 lb', () => {
    const { exact, purchase } = servingsToBuy({
      servings: [{ count: 60, size: '1.5', unit: 'oz' }],
      perUnit: per('7.89', '1.5', 'oz'),
      purchaseUnit: 'lb',
      roundUpTo: '1/4',
    });
    expect([toDecimal(parse(exact), 2), toDecimal(parse(purchase), 2)]).toEqual(['7.60', '7.75']);
  });
});

describe('University of Mississippi (NFSMI), "standardized formula"', () => {
  it('460 half cups of corn, 3.0 No. 10 cans per 100 quarter cups: 27.6 cans, buy 28', () => {
    const { exact, purchase } = servingsToBuy({
      servings: [{ count: 460, size: '1/2', unit: 'cup' }],
      perUnit: { quantity: format(div(parse('25'), parse('3'))), unit: 'cup' },
      purchaseUnit: '#10 can',
      roundUpTo: 1,
    });
    expect([toDecimal(parse(exact), 1), purchase]).toEqual(['27.6', '28']);
  });
});

describe('US Armed Forces Recipe Service, card No. 6, edible portion to as purchased', () => {
  it('3 lb of pared cucumbers times 1.19 are 3.57 lb, said 3 lb 9 oz', () => {
    const salad = {
      id: 'salad',
      makes: { quantity: 1, unit: 'portion' },
      lines: [{ item: 'cucumber', quantity: 3, unit: 'lb', edibleYield: { source: 'afrs', item: 'cucumber-pared' } }],
    };
    const { needs } = explode({ recipes: [salad], wanted: [{ recipe: 'salad', quantity: 1, unit: 'portion' }] });
    const exact = parse(needs['cucumber']?.exact ?? '0');
    expect(toDecimal(exact, 2)).toBe('3.57');
    expect(format(div(exact, parse('1.19')))).toBe('3');
    // The card rounds to whole ounces; in quarters of an ounce it is 9 oz too, since .57 lb are 9.12 oz.
    const pound = findUnit('lb', 'us');
    expect(pound && sayInKitchen(exact, pound, 'us')).toBe('3 lb 9 oz');
  });
});

describe('USDA Agriculture Handbook 102 (1975), table 2, as a survey cites it', () => {
  it('mashed potatoes: pared 81 %, cooked 95 %, additions 120 % leave 92 % of what was bought', () => {
    const mash = {
      id: 'mash',
      makes: { quantity: 1, unit: 'portion' },
      lines: [
        {
          item: 'potato',
          quantity: '0.9234',
          unit: 'kg',
          edibleYield: '0.81',
          cookedYield: format(mul(parse('0.95'), parse('1.2'))),
        },
      ],
    };
    const { needs } = explode({ recipes: [mash], wanted: [{ recipe: 'mash', quantity: 1, unit: 'portion' }] });
    expect(needs['potato']?.exact).toBe('1');
  });
});
