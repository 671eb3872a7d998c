import { describe, expect, it } from '@jest/globals';
import { isNearlyAll, rangesNear } from './near.mjs';

/** Four columns from 0 to 9; the second and third share two rows, the last stands alone. */
const task = {
  columns: { least: new Float64Array(4), most: new Float64Array(4).fill(9), whole: new Uint8Array(4).fill(1) },
  rows: {
    ...{ least: Float64Array.of(0, 0, 0), most: Float64Array.of(9, 9, 9) },
    ...{ starts: Int32Array.of(0, 2, 4, 6), indices: Int32Array.of(1, 2, 1, 2, 0, 3) },
    values: new Float64Array(6).fill(1),
  },
};
const around = Float64Array.of(5, 2.5, 4, 7);
const best = Float64Array.of(3, 2, 4, 7);

describe('ranges near a solution', () => {
  it.each([
    ['between', [3, 2, 4, 7], [5, 3, 4, 7]],
    ['beside', [2, 1, 4, 7], [6, 4, 4, 7]],
    ['beside what is broken', [2, 1, 3, 7], [6, 4, 5, 7]],
    ['beside what differs', [2, 1, 3, 7], [6, 4, 5, 7]],
  ] as const)('are as wide as is said: %s', (width, low, high) => {
    const ranges = rangesNear(task, around, best, width);
    expect([[...ranges.low], [...ranges.high]]).toEqual([low, high]);
  });

  it('are next to the linear program without a solution, and never beyond the bounds', () => {
    const ranges = rangesNear(task, Float64Array.of(0, 9, 8.5, 4), null, 'between');
    expect([[...ranges.low], [...ranges.high]]).toEqual([
      [0, 8, 7, 3],
      [1, 9, 9, 5],
    ]);
  });

  it('are nearly all when more than half may change', () => {
    const ranges = (...high: number[]) => ({ low: new Float64Array(4), high: Float64Array.from(high) });
    expect([isNearlyAll(ranges(0, 0, 1, 1)), isNearlyAll(ranges(0, 1, 1, 1))]).toEqual([false, true]);
  });
});
