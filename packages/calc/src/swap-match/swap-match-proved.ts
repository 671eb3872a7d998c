import type { Solver, SolverOptions, SolverResult } from '../solver/solver.ts';
import { SolverError } from '../solver/solver.ts';
import { listedRingModel } from './listed-rings.ts';
import { ringModel } from './ring-model.ts';
import { worthOfRings } from './ring-search.ts';
import type { SwapMatchInput } from './swap-input.ts';
import type { Found, SwapMatch } from './swap-match.ts';
import { everybodyIn, findMatch, matchOf } from './swap-match.ts';
import { flowModel } from './swap-model.ts';
import type { SwapProblem } from './swap-problem.ts';
import { compareWorth, swapProblem, worthOf } from './swap-problem.ts';

type Solved = Extract<SolverResult, { values: unknown }>;

/** The better of both, with what the solver has proved. */
function better(own: Found, found: Omit<Found, 'isBest' | 'mostParts'>, { status, stages }: Solved): Found {
  const [portions] = stages;
  const mostParts = Math.min(own.mostParts, portions?.bound ?? own.mostParts);
  if (status === 'optimal') return { ...found, isBest: true, mostParts };
  return { ...(compareWorth(found.worth, own.worth) > 0 ? found : own), isBest: false, mostParts };
}

async function prove(problem: SwapProblem, own: Found, solver: Solver, options: SolverOptions): Promise<Found> {
  if (problem.ringLimit) {
    const rings = listedRingModel(problem, problem.ringLimit) ?? ringModel(problem, problem.ringLimit);
    const result = rings && (await solver.solve(rings.model, options));
    if (!result || result.status === 'infeasible') return own;
    const found = rings.ringsOf(result.values);
    return better(own, { rings: found, worth: worthOfRings(problem, found) }, result);
  }
  const { model, flowOf, valuesOf } = flowModel(problem);
  const start = own.flow && valuesOf(own.flow);
  const result = await solver.solve(model, { ...options, ...(start ? { start } : {}) });
  if (result.status === 'infeasible') return own;
  const flow = flowOf(result.values);
  return better(own, { flow, worth: worthOf(problem, flow) }, result);
}

export interface SwapMatchLimits extends SolverOptions {
  /** told of what matchSwaps finds, before the solver is asked */
  onFirst?: (first: SwapMatch) => void;
}

/**
 * matchSwaps with the proof of a solver where it has none: the whole matching as an integer program, with a ring limit one over the places of rings (ringModel).
 * Without an answer in time the result of matchSwaps stands. Rejects with the SolverError `solver-cancelled` when it is cancelled.
 */
export async function swapMatchProved(
  input: SwapMatchInput,
  solver: Solver,
  { onFirst, ...options }: SwapMatchLimits,
): Promise<SwapMatch> {
  const problem = swapProblem(input);
  const own = findMatch(problem);
  const result = (found: Found): SwapMatch => matchOf(problem, found, everybodyIn(input));
  const first = result(own);
  onFirst?.(first);
  if (own.isBest) return first;
  try {
    return result(await prove(problem, own, solver, options));
  } catch (error) {
    if (error instanceof SolverError && error.code !== 'solver-cancelled') return first;
    throw error;
  }
}
