import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { cmp, div, isInteger, parse, sub } from '../rational.ts';
import { servingsToBuy } from './servings-to-buy.ts';

const melon = {
  servings: [{ count: 1, size: '2', unit: 'lb' }],
  perUnit: { quantity: '0.61', unit: 'lb' },
  purchaseUnit: 'lb',
  roundUpTo: '1/2',
};

describe('servingsToBuy', () => {
  it('rounds up to what can be bought', () => {
    expect(servingsToBuy(melon)).toEqual({ exact: '200/61', purchase: '7/2' });
  });

  it('adds servings of several sizes and units', () => {
    const servings = [
      { count: 10, size: '1/4', unit: 'cup' },
      { count: 4, size: '2', unit: 'fl oz' },
    ];
    expect(servingsToBuy({ ...melon, servings, perUnit: { quantity: '1', unit: 'pt' }, roundUpTo: 1 })).toEqual({
      exact: '7/4',
      purchase: '2',
    });
  });

  it('needs nothing for nobody', () => {
    expect(servingsToBuy({ ...melon, servings: [] })).toEqual({ exact: '0', purchase: '0' });
  });

  it.each([
    [{ ...melon, roundUpTo: '0' }, 'invalid-input', '#/roundUpTo'],
    [{ ...melon, roundUpTo: undefined }, 'invalid-input', '#/roundUpTo'],
    [{ ...melon, perUnit: { quantity: '0', unit: 'lb' } }, 'invalid-input', '#/perUnit/quantity'],
    [{ ...melon, servings: [{ count: 1.5, size: '1', unit: 'lb' }] }, 'invalid-input', '#/servings/0/count'],
    [{ ...melon, servings: [{ count: 1, size: '1', unit: 'bag' }] }, 'unknown-unit', '#/servings/0/unit'],
    [{ ...melon, servings: [{ count: 1, size: '1', unit: 'each' }] }, 'units-incompatible', '#/servings/0/unit'],
    [{ ...melon, servings: [{ count: 1, size: '1', unit: 'cup' }] }, 'density-missing', '#/servings/0/unit'],
  ])('refuses %j', (input, code, pointer) => {
    expect(() => servingsToBuy(input)).toThrow(
      expect.objectContaining({ code, errors: [expect.objectContaining({ pointer })] }),
    );
  });
});

describe('servingsToBuy, for any servings', () => {
  const serving = fc.record({
    count: fc.integer({ min: 0, max: 500 }),
    size: fc.integer({ min: 1, max: 64 }).map((n) => `${n}/8`),
    unit: fc.constantFrom('oz', 'lb', 'g'),
  });
  const servings = fc.array(serving, { maxLength: 6 });
  const step = fc.constantFrom('1', '1/2', '1/4', '0.3');
  const buy = (list: unknown, roundUpTo: string) => servingsToBuy({ ...melon, servings: list, roundUpTo });

  it('never buys too little, nor a whole step too much, and always whole steps', () => {
    fc.assert(
      fc.property(servings, step, (list, roundUpTo) => {
        const { exact, purchase } = buy(list, roundUpTo);
        const over = sub(parse(purchase), parse(exact));
        expect(cmp(over, parse('0'))).toBeGreaterThanOrEqual(0);
        expect(cmp(over, parse(roundUpTo))).toBe(-1);
        expect(isInteger(div(parse(purchase), parse(roundUpTo)))).toBe(true);
      }),
    );
  });

  it('never buys less for more servings', () => {
    fc.assert(
      fc.property(servings, serving, step, (list, more, roundUpTo) => {
        const before = parse(buy(list, roundUpTo).purchase);
        expect(cmp(parse(buy([...list, more], roundUpTo).purchase), before)).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it('gives the same bytes in any order of the servings', () => {
    fc.assert(
      fc.property(servings, step, (list, roundUpTo) => {
        expect(canonicalJson(buy([...list].reverse(), roundUpTo))).toBe(canonicalJson(buy(list, roundUpTo)));
      }),
    );
  });
});
