import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { Combining } from './combined-rows.mjs';

const columns = { count: 4, least: -1, most: 2 };
const whole = (min: number, max: number) => fc.integer({ min, max });

/** Rows over four columns from -1 to 2, each within a range, and how many times each is taken. */
const cases = fc.record({
  rows: fc.array(
    fc.record({
      terms: fc.array(whole(-6, 6), { minLength: columns.count, maxLength: columns.count }),
      least: whole(-9, 3),
      width: fc.oneof(fc.constant(0), fc.constant(Infinity), whole(1, 6)),
      times: whole(-30, 30),
    }),
    { minLength: 1, maxLength: 3 },
  ),
  divisor: whole(2, 12),
  /** where the solution of the linear program stands, in twelfths */
  at: fc.array(whole(-12, 24), { minLength: columns.count, maxLength: columns.count }),
});

const points = (n: number): number[][] =>
  n === 0 ? [[]] : points(n - 1).flatMap((point) => [-1, 0, 1, 2].map((value) => [...point, value]));
const everywhere = points(columns.count);

const sum = (values: ArrayLike<number>, of: (i: number) => number): number =>
  Array.from(values).reduce((total, value, i) => total + value * of(i), 0);

describe('rows from sums of rows', () => {
  it('finds what two rows say together of whole numbers: of three, each pair with at most one, only one is', () => {
    const rows = {
      least: Float64Array.of(-Infinity, -Infinity, -Infinity),
      most: Float64Array.of(1, 1, 1),
      starts: Int32Array.of(0, 2, 4, 6),
      indices: Int32Array.of(0, 1, 1, 2, 0, 2),
      values: new Float64Array(6).fill(1),
    };
    const ranges = { least: new Float64Array(3), most: new Float64Array(3).fill(1), whole: new Uint8Array(3).fill(1) };
    const cut = new Combining(rows, ranges, new Float64Array(3).fill(0.5)).cut([0, 1, 2], [1, 1, 1], 2);
    expect(cut).toMatchObject({ values: Float64Array.of(1, 1, 1), most: 1 });
  });

  it('says nothing of columns that need not be whole', () => {
    const rows = {
      ...{ least: Float64Array.of(-Infinity), most: Float64Array.of(3) },
      ...{ starts: Int32Array.of(0, 1), indices: Int32Array.of(0), values: Float64Array.of(2) },
    };
    const ranges = (isWhole: number) => ({
      ...{ least: Float64Array.of(0), most: Float64Array.of(3), whole: Uint8Array.of(isWhole) },
    });
    const cut = (isWhole: number) => new Combining(rows, ranges(isWhole), Float64Array.of(1.5)).cut([0], [1], 2);
    expect(cut(1)).toMatchObject({ values: Float64Array.of(1), most: 1 });
    expect(cut(0)).toBeUndefined();
  });

  it('are kept by every whole solution, and broken by the one they were made for', () => {
    const seen = { cuts: 0, kept: 0 };
    fc.assert(
      fc.property(cases, ({ rows, divisor, at }) => {
        const solution = Float64Array.from(at, (twelfths) => twelfths / 12);
        const ranges = {
          least: new Float64Array(columns.count).fill(columns.least),
          most: new Float64Array(columns.count).fill(columns.most),
          whole: new Uint8Array(columns.count).fill(1),
        };
        const given = {
          least: Float64Array.from(rows, ({ least }) => least),
          most: Float64Array.from(rows, ({ least, width }) => least + width),
          starts: Int32Array.from([0, ...rows.keys()].map((_, i) => i * columns.count)),
          indices: Int32Array.from(rows.flatMap(() => [0, 1, 2, 3])),
          values: Float64Array.from(rows.flatMap(({ terms }) => terms)),
        };
        const times = rows.map((row) => row.times);
        const cut = new Combining(given, ranges, solution).cut([...rows.keys()], times, divisor);
        if (!cut) return;
        seen.cuts++;
        const reach = (point: ArrayLike<number>): number => sum(cut.values, (k) => point[cut.indices[k] ?? 0] ?? NaN);
        expect(reach(solution)).toBeGreaterThan(cut.most);
        for (const point of everywhere) {
          const isKept = rows.every(({ terms, least, width }) => {
            const value = sum(terms, (i) => point[i] ?? NaN);
            return value >= least && value <= least + width;
          });
          if (!isKept) continue;
          seen.kept++;
          expect(reach(point)).toBeLessThanOrEqual(cut.most);
        }
      }),
      { numRuns: 3000 },
    );
    expect(seen.cuts).toBeGreaterThan(300);
    expect(seen.kept).toBeGreaterThan(300);
  });
});
