import {
  canonicalJson,
  aimsOf,
  modelFaults,
  planProblem,
  planRound,
  planRoundModel,
  planRoundProved,
  readPlanRound,
  SolverError,
  verifyPlanRound,
  writePlanRound,
} from '@frostmoot/calc';
import type { PlanRoundOutput, Solver } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { plannedRound } from '../builders/planned-round.ts';
import { cbcStages } from '../solver/cbc.ts';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

/** What a plan comes to in each stage of its integer program: used instead of left, wishes met instead of unmet. */
function stagesOf(input: unknown, { batches }: PlanRoundOutput): number[] {
  const problem = planProblem(readPlanRound(input));
  return aimsOf(problem).map(({ name, of, valueOf }) => {
    const value = valueOf(problem.ids.map((id) => batches[id] ?? 0));
    if (name === 'left') return (problem.hand.find(({ ingredient }) => ingredient === of)?.steps ?? 0) - value;
    return name === 'wishes' ? problem.wishers.reduce((a, b) => a + b, 0) - value : value;
  });
}

describe('planRoundProved, against CBC on the plain integer program', () => {
  it.each([
    [1, 4, 5],
    [2, 6, 6],
    [3, 8, 8],
    [4, 8, 8],
    [5, 12, 10],
  ])('reaches the same in every stage, round %i with %i households and %i dishes', async (seed, households, dishes) => {
    const input = plannedRound(seed, households, dishes);
    const problem = planProblem(readPlanRound(input));
    const model = planRoundModel(problem, aimsOf(problem));
    expect(modelFaults(model)).toEqual([]);
    const plan = writePlanRound(await planRoundProved(readPlanRound(input), pool, { milliseconds: 120_000 }));
    expect([plan.proof, verifyPlanRound(input, plan)]).toEqual(['optimal', []]);
    // The last stage is the lot among plans that are equal in all others.
    expect(stagesOf(input, plan)).toEqual(cbcStages(model)?.values.slice(0, -1));
  });
});

describe('planRoundProved', () => {
  it('gives what the search gives where that is proved', async () => {
    const input = plannedRound(1, 3, 2);
    const never: Solver = { solve: () => Promise.reject(new Error('It was asked.')) };
    const plan = writePlanRound(await planRoundProved(readPlanRound(input), never, { milliseconds: 1000 }));
    expect(plan).toEqual(planRound(input));
    expect(plan.proof).toBe('optimal');
  });

  it('tells what the search gives where that is not proved, before the solver is asked', async () => {
    const told: string[] = [];
    const late: Solver = {
      solve: () => {
        told.push('asked');
        return Promise.reject(new SolverError('solver-time', 'It failed.'));
      },
    };
    const input = plannedRound(7, 20, 20);
    await planRoundProved(readPlanRound(input), late, {
      milliseconds: 1000,
      onFirst: (first) => told.push(canonicalJson(writePlanRound(first))),
    });
    expect(told).toEqual([canonicalJson(planRound(input)), 'asked']);
  });

  it('falls back on the search when the solver fails, and passes on that it was cancelled', async () => {
    const input = plannedRound(7, 20, 20);
    const alone = planRound(input);
    expect([alone.proof, verifyPlanRound(input, alone)]).toEqual(['constructive', []]);
    const failing = (code: 'solver-time' | 'solver-cancelled'): Solver => ({
      solve: () => Promise.reject(new SolverError(code, 'It failed.')),
    });
    const proved = await planRoundProved(readPlanRound(input), failing('solver-time'), { milliseconds: 1000 });
    expect(writePlanRound(proved)).toEqual(alone);
    await expect(
      planRoundProved(readPlanRound(input), failing('solver-cancelled'), { milliseconds: 1000 }),
    ).rejects.toMatchObject({ code: 'solver-cancelled' });
  });

  it('says how far a plan can be from the best when the time ends early', async () => {
    const input = plannedRound(7, 20, 20);
    const plan = writePlanRound(await planRoundProved(readPlanRound(input), pool, { milliseconds: 400 }));
    expect(verifyPlanRound(input, plan)).toEqual([]);
    expect(plan.proof === 'bounded').toBe(plan.bound !== undefined);
  });

  it('solves the integer program to what the search proves, for a hundred small rounds', async () => {
    for (let seed = 1; seed <= 100; seed++) {
      const input = plannedRound(seed, 3, 3);
      const alone = planRound(input);
      expect(alone.proof).toBe('optimal');
      const problem = planProblem(readPlanRound(input));
      const result = await pool.solve(planRoundModel(problem, aimsOf(problem)), { milliseconds: 60_000 });
      if (result.status === 'infeasible') throw new Error('There is a plan.');
      expect(result.stages.slice(0, -1).map(({ value }) => value)).toEqual(stagesOf(input, alone));
    }
  });
});
