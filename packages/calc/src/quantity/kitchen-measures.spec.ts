import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { abs, add, cmp, format, mul, parse, rational, sub } from '../rational.ts';
import { inKitchenMeasures, sayInKitchen } from './kitchen-measures.ts';
import type { Measures } from './units.ts';
import { findUnit } from './units.ts';

const unit = (name: string, measures: Measures) => {
  const found = findUnit(name, measures);
  if (!found) throw new Error(`no unit ${name}`);
  return found;
};
const say = (quantity: string, name: string, measures: Measures = 'us'): string =>
  sayInKitchen(parse(quantity), unit(name, measures), measures);

describe('sayInKitchen', () => {
  it.each([
    ['4.35', 'lb', '4 lb 5 1/2 oz'],
    ['15.9', 'oz', '1 lb'],
    ['0.5', 'lb', '8 oz'],
    ['19.98', 'gal', '19 gal 3 qt 1 pt 1 cup 10 tbsp 2 3/4 tsp'],
    ['3.75', 'cup', '3 3/4 cups'],
    ['30', 'fl oz', '3 3/4 cups'],
    ['1/3', 'cup', '1/3 cup'],
    ['16', 'tsp', '1/3 cup'],
    ['7', 'tsp', '2 tbsp 1 tsp'],
    ['0.999', 'gal', '3 qt 1 pt 1 cup 15 tbsp 2 1/4 tsp'],
    ['40', 'cup', '2 gal 2 qt'],
    ['1500', 'g', '1500 g'],
    ['0.4', 'g', '0.4 g'],
    ['12.5', 'g', '13 g'],
    ['1.2345', 'kg', '1.235 kg'],
    ['2', 'kg', '2 kg'],
    ['100', 'mL', '100 mL'],
    ['3.75', 'each', '3 3/4'],
    ['2.5', 'bunch', '2 1/2 bunches'],
    ['1', 'portion', '1 portion'],
    ['1/3', 'metric-cup', '0.33 metric-cup'],
  ])('says %s %s as %s', (quantity, name, said) => {
    expect(say(quantity, name)).toBe(said);
  });

  it('measures in the chosen set of measures', () => {
    expect(say('26', 'fl oz', 'imperial')).toBe('1 pt 6 fl oz');
    expect(say('1.5', 'cup', 'imperial')).toBe('1 1/2 cups');
    expect(say('2/3', 'cup', 'metric')).toBe('2/3 cup');
    expect(say('7', 'tsp', 'au')).toBe('1 tbsp 3 tsp');
    expect(say('1.2', 'lb', 'us-label')).toBe('1.2 lb');
    expect(say('1.3', 'oz', 'us-label')).toBe('1 1/4 oz');
  });

  it('never says nil of something', () => {
    expect(say('0', 'g')).toBe('0 g');
    expect(say('0.1', 'oz')).toBe('under 1/4 oz');
    expect(say('0.01', 'g')).toBe('under 0.1 g');
    expect(say('0.1', 'each')).toBe('under 1/4');
    expect(say('0.1', 'tsp')).toBe('under 1/4 tsp');
  });

  it('says a number with more digits than an input may have', () => {
    const digits = '9'.repeat(60);
    expect(sayInKitchen(mul(parse(digits), rational(100n)), unit('kg', 'us'), 'us')).toBe(`${digits}00 kg`);
  });

  it('is at most an eighth of the smallest unit away from the exact quantity', () => {
    const amount = fc.tuple(fc.bigInt({ min: 0n, max: 10n ** 7n }), fc.bigInt({ min: 1n, max: 1000n }));
    const name = fc.constantFrom('gal', 'qt', 'pt', 'cup', 'tbsp', 'tsp', 'fl oz', 'lb', 'oz');
    fc.assert(
      fc.property(amount, name, fc.constantFrom<Measures>('us', 'imperial'), ([n, d], given, measures) => {
        const exact = rational(n, d);
        const terms = inKitchenMeasures(exact, unit(given, measures), measures) ?? [];
        const finest = given === 'lb' || given === 'oz' ? 'oz' : measures === 'us' ? 'tsp' : 'fl oz';
        const said = terms.reduce((total, term) => add(total, mul(term.amount, term.unit.inBase)), rational(0n));
        const off = abs(sub(said, mul(exact, unit(given, measures).inBase)));
        expect(cmp(off, mul(unit(finest, measures).inBase, rational(1n, 8n)))).toBeLessThanOrEqual(0);
        expect(terms.map((term) => format(term.amount))).not.toContain('0');
      }),
    );
  });
});
