import { modelFaults } from '../solver/model-faults.ts';
import type { Solver, SolverOptions, SolverResult } from '../solver/solver.ts';
import { SolverError } from '../solver/solver.ts';
import type { PlanProblem } from './plan-problem.ts';
import { planProblem } from './plan-problem.ts';
import type { PlanRoundInput } from './plan-round-input.ts';
import { batchesOfValues, leastOfAim, planRoundModel } from './plan-round-model.ts';
import type { PlanBound, PlanRound } from './plan-round.ts';
import { exactValue, planOf } from './plan-round.ts';
import type { PlanFound } from './plan-search.ts';
import { fits, searchBatches } from './plan-search.ts';
import { betterThan, standingOf } from './plan-worth.ts';

type Solved = Extract<SolverResult, { values: unknown }>;

/** The first aim that the plan reaches without a proof; undefined when there is none. */
function boundOf(
  input: PlanRoundInput,
  problem: PlanProblem,
  { aims, standing }: PlanFound,
  { stages }: Solved,
): PlanBound | undefined {
  const open = aims.findIndex((_, index) => !stages[index]?.proved);
  const aim = aims[open];
  if (!aim) return undefined;
  const value = standing.values[open] ?? 0;
  const given = stages[open] ? leastOfAim(problem, aim, stages[open].bound) : 0;
  const atLeast = exactValue(problem, input, aim, Math.min(value, Math.max(0, given)));
  return { aim: aim.name, ...(aim.of === undefined ? {} : { of: aim.of }), atLeast };
}

/** What the solver found together with what the search found: the better of both. */
function together(problem: PlanProblem, own: PlanFound, { values }: Solved): PlanFound {
  const { aims, lots } = own;
  const batches = batchesOfValues(problem, values);
  if (!fits(problem, batches)) return own;
  return { ...own, standing: betterThan(aims, lots, batches, own.standing) ?? own.standing };
}

export interface PlanRoundLimits extends SolverOptions {
  /** told of what planRoundOf finds, before the solver is asked */
  onFirst?: (first: PlanRound) => void;
}

/**
 * planRoundOf, and where its search ended before a proof the integer program on a solver, a stage for each aim. Gives the better of both plans; without an answer
 * in time what planRoundOf gives. `proof`: `bounded` when the solver ended before its last proof, with the first aim that may still be bettered.
 * Throws as planRoundOf does, and the SolverError `solver-cancelled`.
 */
export async function planRoundProved(
  input: PlanRoundInput,
  solver: Solver,
  { onFirst, ...options }: PlanRoundLimits,
): Promise<PlanRound> {
  const problem = planProblem(input);
  const own = searchBatches(problem);
  if (own.isBest) return planOf(input, problem, own, 'optimal');
  if (onFirst) onFirst(planOf(input, problem, own, 'constructive'));
  const model = planRoundModel(problem, own.aims);
  if (modelFaults(model).length > 0) return planOf(input, problem, own, 'constructive');
  try {
    const result = await solver.solve(model, options);
    if (result.status === 'infeasible') return planOf(input, problem, own, 'constructive');
    if (result.status === 'optimal') {
      // The solver's own plan, so that which of equally good ones is given does not depend on how far the search came.
      const standing = standingOf(own.aims, own.lots, batchesOfValues(problem, result.values));
      const isSound = fits(problem, standing.batches) && !betterThan(own.aims, [], own.standing.batches, standing);
      if (isSound) return planOf(input, problem, { aims: own.aims, standing }, 'optimal');
      return planOf(input, problem, own, 'constructive');
    }
    const found = together(problem, own, result);
    const bound = boundOf(input, problem, found, result);
    return planOf(input, problem, found, bound ? 'bounded' : 'optimal', bound);
  } catch (error) {
    if (error instanceof SolverError && error.code !== 'solver-cancelled') {
      return planOf(input, problem, own, 'constructive');
    }
    throw error;
  }
}
