import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { add, format, parse } from '../rational.ts';
import { convert } from './convert.ts';
import { densityRows } from './reference-tables.ts';
import { allUnits, measuresNames } from './units.ts';

const quantity = fc
  .tuple(fc.bigInt({ min: 0n, max: 10n ** 9n }), fc.bigInt({ min: 1n, max: 10n ** 6n }))
  .map(([n, d]) => `${n}/${d}`);
const names = (dimension: string): string[] => [
  ...new Set(allUnits.filter((unit) => unit.dimension === dimension && !unit.measures).map((unit) => unit.id)),
];
const kitchen = fc.constantFrom('cup', 'tbsp', 'tsp', 'mL', 'L', 'dL', '#10 can');
const weight = fc.constantFrom(...names('mass'), 'oz');
const measures = fc.constantFrom(...measuresNames);
const density = fc.constantFrom(...densityRows).map(({ source, item }) => ({ source, item }));

describe('convert, for any quantity', () => {
  it('there and back gives the same quantity exactly, volumes and masses alike', () => {
    fc.assert(
      fc.property(
        quantity,
        kitchen,
        fc.oneof(kitchen, weight),
        measures,
        density,
        (given, from, to, system, choice) => {
          const there = convert({ quantity: given, from, to, measures: system, density: choice });
          const short = there.exact.length <= 60 ? there.exact : undefined;
          fc.pre(short !== undefined);
          const back = convert({ quantity: short, from: to, to: from, measures: system, density: choice });
          expect(back.exact).toBe(format(parse(given)));
        },
      ),
    );
  });

  it('is linear', () => {
    fc.assert(
      fc.property(quantity, quantity, weight, weight, measures, (a, b, from, to, system) => {
        const inTo = (given: string) => parse(convert({ quantity: given, from, to, measures: system }).exact);
        const both = format(add(parse(a), parse(b)));
        expect(format(inTo(both))).toBe(format(add(inTo(a), inTo(b))));
      }),
    );
  });
});
