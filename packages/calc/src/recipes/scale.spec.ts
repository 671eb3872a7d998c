import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { format, mul, parse } from '../rational.ts';
import { scale } from './scale.ts';

const factor = (from: unknown, to: unknown): string => scale({ from, to, quantities: [] }).factor;

describe('scale', () => {
  it('compares total yields, not counts of containers of different size', () => {
    expect(factor({ portions: 10 }, { portions: 15 })).toBe('3/2');
    expect(factor({ portions: 5, portionSize: '8' }, { portions: 10, portionSize: '4' })).toBe('1');
    expect(
      factor(
        { portions: 4, portionSize: { quantity: '0.5', unit: 'L' } },
        { portions: 10, portionSize: { quantity: '400', unit: 'mL' } },
      ),
    ).toBe('2');
  });

  it('says quantities for the kitchen, or exactly', () => {
    const input = {
      from: { portions: 10 },
      to: { portions: 15 },
      quantities: [{ id: 'greens', quantity: 3, unit: 'lb' }],
    };
    expect(scale(input).quantities).toEqual([{ id: 'greens', exact: '9/2', unit: 'lb', say: '4 lb 8 oz' }]);
    expect(scale({ ...input, roundTo: 'exact' }).quantities[0]?.say).toBe('9/2 lb');
    expect(scale({ ...input, roundTo: 'exact', quantities: [{ quantity: 3, unit: 'cup' }] }).quantities[0]?.say).toBe(
      '9/2 cups',
    );
  });

  it.each([
    [{ portions: 0 }, { portions: 1 }, 'invalid-input', '#/from/portions'],
    [{ portions: 1 }, { portions: 1, portionSize: '2' }, 'invalid-input', '#/from'],
    [{ portions: 1, portionSize: '2' }, { portions: 1 }, 'invalid-input', '#/to'],
    [
      { portions: 1, portionSize: '2' },
      { portions: 1, portionSize: { quantity: 2, unit: 'g' } },
      'units-incompatible',
      '#/to/portionSize',
    ],
    [
      { portions: 1, portionSize: { quantity: 2, unit: 'mL' } },
      { portions: 1, portionSize: { quantity: 2, unit: 'g' } },
      'units-incompatible',
      '#/to/portionSize',
    ],
    [
      { portions: 1, portionSize: { quantity: 2, unit: 'x' } },
      { portions: 1, portionSize: '1' },
      'unknown-unit',
      '#/from/portionSize/unit',
    ],
  ])('refuses to go from %j to %j', (from, to, code, pointer) => {
    expect(() => scale({ from, to, quantities: [] })).toThrow(
      expect.objectContaining({ code, errors: [expect.objectContaining({ pointer })] }),
    );
  });

  it('tells which line has an unknown unit', () => {
    const quantities = [
      { quantity: 1, unit: 'g' },
      { quantity: 1, unit: 'smidge' },
    ];
    expect(() => scale({ from: { portions: 1 }, to: { portions: 1 }, quantities })).toThrow(
      expect.objectContaining({
        code: 'unknown-unit',
        errors: [expect.objectContaining({ pointer: '#/quantities/1/unit' })],
      }),
    );
  });
});

describe('scale, for any recipe', () => {
  const portions = fc.integer({ min: 1, max: 400 });
  const line = fc.record({
    id: fc.string({ unit: fc.constantFrom('a', 'b', 'c'), minLength: 1, maxLength: 3 }),
    quantity: fc.integer({ min: 0, max: 10_000 }).map((n) => `${n}/8`),
    unit: fc.constantFrom('g', 'cup', 'lb', 'tsp', 'each'),
  });
  const lines = fc.array(line, { maxLength: 8 });

  it('is linear: twice the portions are twice every quantity', () => {
    fc.assert(
      fc.property(portions, portions, lines, (from, to, quantities) => {
        const once = scale({ from: { portions: from }, to: { portions: to }, quantities });
        const twice = scale({ from: { portions: from }, to: { portions: 2 * to }, quantities });
        expect(twice.quantities.map(({ exact }) => exact)).toEqual(
          once.quantities.map(({ exact }) => format(mul(parse(exact), parse('2')))),
        );
      }),
    );
  });

  it('gives the same bytes in any order of the lines', () => {
    const shuffled = lines.chain((list) =>
      fc.tuple(fc.constant(list), fc.shuffledSubarray(list, { minLength: list.length })),
    );
    fc.assert(
      fc.property(portions, portions, shuffled, (from, to, [one, other]) => {
        const bytes = (quantities: unknown) =>
          canonicalJson(scale({ from: { portions: from }, to: { portions: to }, quantities }));
        expect(bytes(other)).toBe(bytes(one));
      }),
    );
  });
});
