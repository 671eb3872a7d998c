import {
  canonicalJson,
  dayModel,
  modelFaults,
  readRunSheet,
  runSheet,
  runSheetProved,
  SolverError,
  kitchenOf,
  verifyRunSheet,
} from '@frostmoot/calc';
import type { RunSheetResult, Solver } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { cookDay } from '../builders/cook-day.ts';
import { cbcStages } from '../solver/cbc.ts';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());
const soon = { milliseconds: 300_000 };
const failing = (code: 'solver-time' | 'solver-cancelled'): Solver => ({
  solve: () => Promise.reject(new SolverError(code, 'It failed.')),
});

/** Whether CBC finds a day of at most so many minutes, in the same integer program. */
function cbcFinds(input: unknown, minutes: number): boolean {
  const asked = dayModel(kitchenOf(readRunSheet(input)), minutes);
  if (typeof asked === 'string') return false;
  expect(modelFaults(asked.model)).toEqual([]);
  return cbcStages(asked.model) !== undefined;
}

describe('a run sheet that a solver proves', () => {
  // Made-up days.
  it.each([
    [30, 3, 2],
    [30, 2, 2],
  ])('of %i steps for %i people is the shortest, as CBC finds too (day %i)', async (steps, people, seed) => {
    const input = cookDay(seed, steps, people);
    const told: RunSheetResult[] = [];
    const result = await runSheetProved(input, pool, { ...soon, onBetter: (sheet) => told.push(sheet) });
    expect([result.proof, verifyRunSheet(input, result)]).toEqual(['optimal', []]);
    expect(canonicalJson(told[0])).toBe(canonicalJson(runSheet(input)));
    expect(told.map(({ proof }) => proof)).toContain('bounded');
    expect(cbcFinds(input, result.minutes)).toBe(true);
    expect(cbcFinds(input, result.minutes - 5)).toBe(false);
  });

  it('is what the search gives where that is proved, and where the solver gives nothing', async () => {
    const never: Solver = { solve: () => Promise.reject(new Error('It was asked.')) };
    const small = cookDay(1, 20);
    expect(canonicalJson(await runSheetProved(small, never, soon))).toBe(canonicalJson(runSheet(small)));
    const open = cookDay(2, 30);
    const late = await runSheetProved(open, failing('solver-time'), soon);
    expect(canonicalJson(late)).toBe(canonicalJson(runSheet(open)));
    expect(late.proof).toBe('bounded');
    await expect(runSheetProved(open, failing('solver-cancelled'), soon)).rejects.toMatchObject({
      code: 'solver-cancelled',
    });
  });
});
