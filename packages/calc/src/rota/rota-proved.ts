import { modelLimits } from '../solver/model.ts';
import type { Solver, SolverOptions } from '../solver/solver.ts';
import { SolverError } from '../solver/solver.ts';
import { squaresOf, targetsOf } from './loads.ts';
import { repairModel, loadsModel, turnName } from './rota-model.ts';
import type { RotaWork } from './nearest-turns.ts';
import { loadsOf, settled, workOutRota } from './nearest-turns.ts';
import type { Rota } from './rota.ts';
import { rotaOf } from './rota.ts';
import type { RotaInput } from './rota-input.ts';
import type { RotaProblem } from './rota-problem.ts';
import { RotaSearch } from './rota-search.ts';
import { withoutItems } from './repair.ts';
import { mostTurns } from './window-room.ts';

const turnsIn = (problem: RotaProblem, values: ReadonlyMap<string, number>): Uint8Array =>
  Uint8Array.from(problem.away, (_, pair) => values.get(turnName(problem, pair)) ?? 0);

/** The solver's answer, or undefined when it gave none; being told to stop is not an answer and goes on to whoever said so. */
async function asked<T>(answer: Promise<T>): Promise<T | undefined> {
  try {
    return await answer;
  } catch (error) {
    if (error instanceof SolverError && error.code !== 'solver-cancelled') return undefined;
    throw error;
  }
}

/** The cheapest repair where the searches of workOutRota have not proved theirs. */
async function withRepair(work: RotaWork, solver: Solver, options: SolverOptions): Promise<RotaWork> {
  const { problem, draft } = work;
  if (draft.cheapest) return work;
  const { model, givenUp } = repairModel(problem, draft.asked);
  const result = await asked(solver.solve(model, options));
  if (result?.status !== 'optimal') return work;
  const items = givenUp(result.values);
  const on = turnsIn(problem, result.values);
  return settled(problem, { ...draft, on, givenUp: items, limits: withoutItems(problem, items), cheapest: true });
}

/** The nearest loads where the bound has not proved them. */
async function withLoads(work: RotaWork, solver: Solver, options: SolverOptions): Promise<RotaWork> {
  const { problem, limits, levelled } = work;
  if (levelled.squares <= levelled.bound) return work;
  const search = new RotaSearch(problem, limits, 0, problem.weeks.length - 1);
  search.begin();
  const most = problem.households.map((_, h) => mostTurns(search, h, 0, problem.weeks.length - 1));
  const targets = targetsOf(
    problem,
    levelled.on.reduce((a, b) => a + b, 0),
  );
  const model = loadsModel(problem, limits, targets, most, modelLimits.coefficient);
  const start = new Map([...levelled.on.entries()].map(([pair, value]) => [turnName(problem, pair), value]));
  const result = model && (await asked(solver.solve(model, { ...options, start })));
  if (!result || result.status === 'infeasible') return work;
  const on = turnsIn(problem, result.values);
  const squares = squaresOf(targets, loadsOf(problem, on));
  const [loads] = result.stages;
  if (loads?.proved) return { ...work, levelled: { on, squares, bound: squares } };
  return squares < levelled.squares ? { ...work, levelled: { ...levelled, on, squares } } : work;
}

/**
 * planRota with what it could not prove by itself asked of a solver: first the cheapest repair, then the nearest loads. Without an answer in time the result of
 * planRota stands. `options`: for each of the two searches. Rejects with the SolverError `solver-cancelled` when it is cancelled.
 */
export async function rotaProved(input: RotaInput, solver: Solver, options: SolverOptions): Promise<Rota> {
  const repaired = await withRepair(workOutRota(input), solver, options);
  const { problem, draft, levelled } = await withLoads(repaired, solver, options);
  return rotaOf(problem, draft, levelled.on, levelled.bound);
}
