import { modelFaults } from '../solver/model-faults.ts';
import type { Solver, SolverOptions } from '../solver/solver.ts';
import { SolverError } from '../solver/solver.ts';
import { dayModel } from './day-model.ts';
import { movedForward } from './improve-day.ts';
import type { Kitchen } from './kitchen.ts';
import { kitchenOf } from './kitchen.ts';
import { readRunSheet } from './run-sheet-input.ts';
import type { RunSheetResult } from './run-sheet.ts';
import { sheetOf } from './run-sheet.ts';
import type { ShortestDay } from './shortest-day.ts';
import { shortestDay } from './shortest-day.ts';
import { strideOf } from './stride.ts';

export interface RunSheetLimits extends SolverOptions {
  /** told of the day that the search finds, and of every shorter one */
  onBetter?: (sheet: RunSheetResult) => void;
}

/** A question may take the whole time divided by this: most are answered soon, and what is not is asked again for longer. */
const patience = [40, 10, 3, 1];
/** Larger models are not asked: they would not be answered in any time that somebody waits. */
const mostVariables = 12_000;

/** A shorter day, `none` when no day is that short, undefined without an answer in time. */
async function dayWithin(
  minutes: number,
  kitchen: Kitchen,
  solver: Solver,
  options: SolverOptions,
): Promise<ShortestDay['day'] | 'none' | undefined> {
  const asked = dayModel(kitchen, minutes, mostVariables);
  if (asked === 'none') return 'none';
  if (asked === 'large' || modelFaults(asked.model).length > 0) return undefined;
  const { model, dayOf } = asked;
  try {
    const result = await solver.solve(model, options);
    return result.status === 'infeasible' ? 'none' : movedForward(kitchen, dayOf(result.values));
  } catch (error) {
    if (error instanceof SolverError && error.code !== 'solver-cancelled') return undefined;
    throw error;
  }
}

/**
 * The command `run-sheet` with a solver, where its search ends before a proof. Asked is whether there is a day of some length (dayModel): from the bound upwards, each "no"
 * raises the bound; from the best day downwards, each "yes" is a shorter day, and a "no" proves the best (destructive bounds: Klein and Scholl, European Journal of Operational Research
 * 112, 1999; from memory). What is not answered soon is asked again with more patience. Without answers in time what runSheet gives. `options.milliseconds`: for one question at most.
 * Throws as runSheet does, and the SolverError `solver-cancelled`.
 */
export async function runSheetProved(
  input: unknown,
  solver: Solver,
  { onBetter, milliseconds, ...options }: RunSheetLimits,
): Promise<RunSheetResult> {
  const sheet = readRunSheet(input);
  const kitchen = kitchenOf(sheet);
  const stride = strideOf(kitchen);
  let { day, atLeast } = shortestDay(kitchen);
  const tell = (): void => onBetter?.(sheetOf(sheet, { day, atLeast }));
  tell();
  for (const part of patience) {
    const ask = (minutes: number) =>
      dayWithin(minutes, kitchen, solver, { ...options, milliseconds: Math.floor(milliseconds / part) });
    let undecided: number | undefined;
    while (atLeast < day.length && undecided === undefined) {
      const found = await ask(atLeast);
      if (found === 'none') atLeast += stride;
      else if (found) {
        day = found;
        tell();
      } else undecided = atLeast;
    }
    while (atLeast < day.length && day.length - stride !== undecided) {
      const found = await ask(day.length - stride);
      if (found === undefined) break;
      if (found === 'none') atLeast = day.length;
      else day = found;
      tell();
    }
    if (atLeast >= day.length) break;
  }
  return sheetOf(sheet, { day, atLeast });
}
