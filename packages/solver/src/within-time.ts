import type { Solver } from '@frostmoot/calc';
import { SolverError } from '@frostmoot/calc';

/** A solver for one computation that asks it several times: all its solves together end within these milliseconds from now. */
export function withinTime(solver: Solver, milliseconds: number): Solver {
  const end = performance.now() + milliseconds;
  return {
    solve: async (model, options) => {
      const left = end - performance.now();
      if (left < 1) throw new SolverError('solver-time', 'The time for this computation has ended.');
      return solver.solve(model, { ...options, milliseconds: Math.min(options.milliseconds, left) });
    },
  };
}
