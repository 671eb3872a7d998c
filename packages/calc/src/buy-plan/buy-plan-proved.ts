import type { Rational } from '../rational.ts';
import { cmp, max, rational, sub } from '../rational.ts';
import { modelFaults } from '../solver/model-faults.ts';
import type { Cancellation, Solver, SolverProgress } from '../solver/solver.ts';
import { SolverError } from '../solver/solver.ts';
import type { BuyPlanInput } from './buy-plan-input.ts';
import { readBuyPlan } from './buy-plan-input.ts';
import { buyPlanModel, packsOfValues, valuesOfPlan } from './buy-plan-model.ts';
import type { BuyPlan, BuyPlanOutput } from './buy-plan.ts';
import { packsById, planOfPacks, searched, writeBuyPlan } from './buy-plan.ts';
import { buyProblem } from './buy-problem.ts';

export interface BuyPlanLimits {
  milliseconds: number;
  cancel?: Cancellation;
  onProgress?: (progress: SolverProgress) => void;
}

const netOf = ({ totalMinor, storedMinor }: BuyPlan): Rational => sub(rational(totalMinor), storedMinor);

/**
 * planPacks, and where its search ended before a proof (thresholds of several sellers bind at once) the plain integer program on a solver, beginning with
 * the plan found. Gives the cheaper of both plans with the higher of both bounds; what planPacks gives when the solver gives nothing in time.
 * Throws as planPacks does, and `solver-cancelled`.
 */
export async function planPacksProved(input: BuyPlanInput, solver: Solver, limits: BuyPlanLimits): Promise<BuyPlan> {
  const problem = buyProblem(input);
  const { plan, bound } = searched(problem);
  const packs = packsById(problem, plan);
  if (bound === undefined) return planOfPacks(input, packs, 'optimal');
  const atLeast = rational(bound, problem.scale);
  const begun = planOfPacks(input, packs, 'bounded', atLeast);
  const model = buyPlanModel(problem);
  if (modelFaults(model).length > 0) return begun;
  try {
    const result = await solver.solve(model, { ...limits, start: valuesOfPlan(problem, plan) });
    if (result.status === 'infeasible') return begun;
    const [cost] = result.stages;
    const proved = cost ? max(atLeast, rational(BigInt(Math.ceil(cost.bound)), problem.scale)) : atLeast;
    const found = planOfPacks(input, packsOfValues(problem, result.values), 'bounded', proved);
    const best = cmp(netOf(found), netOf(begun)) <= 0 ? found : begun;
    const isProved = cmp(netOf(best), proved) <= 0;
    return { ...best, proof: isProved ? 'optimal' : 'bounded', atLeastMinor: isProved ? undefined : proved };
  } catch (error) {
    if (error instanceof SolverError && error.code !== 'solver-cancelled') return begun;
    throw error;
  }
}

/** The command `buy-plan` with a solver: planPacksProved from JSON to JSON. */
export const buyPlanProved = async (input: unknown, solver: Solver, limits: BuyPlanLimits): Promise<BuyPlanOutput> =>
  writeBuyPlan(await planPacksProved(readBuyPlan(input), solver, limits));
