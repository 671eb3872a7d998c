import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { roundedRows } from './rounding.mjs';

interface Range {
  coefficient: number;
  least: number;
  width: number;
  /** where the solution of a linear program stands, in twelfths of the range */
  at: number;
}

const ranges = fc.array(
  fc.record({
    coefficient: fc.integer({ min: -9, max: 9 }).filter((value) => value !== 0),
    least: fc.integer({ min: -2, max: 1 }),
    width: fc.integer({ min: 0, max: 4 }),
    at: fc.integer({ min: 0, max: 12 }),
  }),
  { minLength: 1, maxLength: 5 },
);

const task = (columns: readonly Range[], least: number, most: number) => ({
  columns: {
    least: Float64Array.from(columns, (column) => column.least),
    most: Float64Array.from(columns, (column) => column.least + column.width),
    whole: new Uint8Array(columns.length).fill(1),
  },
  rows: {
    least: Float64Array.of(least),
    most: Float64Array.of(most),
    starts: Int32Array.of(0, columns.length),
    indices: Int32Array.from(columns.keys()),
    values: Float64Array.from(columns, ({ coefficient }) => coefficient),
  },
});

function wholePoints([first, ...more]: readonly Range[]): number[][] {
  if (!first) return [[]];
  const rest = wholePoints(more);
  return Array.from({ length: first.width + 1 }, (_, i) => rest.map((point) => [first.least + i, ...point])).flat();
}

const sum = (values: ArrayLike<number>, of: (i: number) => number): number =>
  Array.from(values).reduce((total, value, i) => total + value * of(i), 0);

describe('rounded rows', () => {
  it('finds that of containers of four only one is within a credit of six', () => {
    const [cut] = roundedRows(
      task([{ coefficient: 4, least: 0, width: 3, at: 0 }], -Infinity, 6),
      Float64Array.of(1.5),
    );
    expect(cut && cut.most / (cut.values[0] ?? 0)).toBe(1);
  });

  it('are kept by every whole solution, and broken by the one they were made for', () => {
    const seen = { cuts: 0 };
    fc.assert(
      fc.property(ranges, fc.integer({ min: -20, max: 20 }), fc.integer({ min: 0, max: 9 }), (columns, from, width) => {
        const solution = Float64Array.from(columns, (column) => column.least + (column.width * column.at) / 12);
        const row = (point: ArrayLike<number>): number => sum(point, (i) => columns[i]?.coefficient ?? 0);
        const kept = wholePoints(columns).filter((point) => row(point) >= from && row(point) <= from + width);
        for (const { indices, values, most } of roundedRows(task(columns, from, from + width), solution)) {
          seen.cuts++;
          const reach = (point: ArrayLike<number>): number => sum(values, (k) => point[indices[k] ?? 0] ?? NaN);
          expect(reach(solution)).toBeGreaterThan(most);
          for (const point of kept) expect(reach(point)).toBeLessThanOrEqual(most);
        }
      }),
      { numRuns: 1500 },
    );
    expect(seen.cuts).toBeGreaterThan(500);
  });
});
