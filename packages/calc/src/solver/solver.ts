import type { IntegerModel } from './model.ts';

/** How a stage ended: the value reached and the best that any solution can have. Equal: nothing better exists, which is said in `proved`. */
export interface StageResult {
  readonly name: string;
  readonly value: number;
  readonly bound: number;
  readonly proved: boolean;
}

/**
 * What a solver found. `optimal`: every stage is proved. `bounded`: the time ended before the last proof; the values satisfy every row, and the last
 * stage in the list says how far from the best they can be (stages that were not begun are missing). `infeasible`: no values satisfy the rows.
 * Values are whole, complete (one for each variable) and have been checked in exact arithmetic against every row and bound.
 */
export type SolverResult =
  | {
      readonly status: 'optimal' | 'bounded';
      readonly values: ReadonlyMap<string, number>;
      readonly stages: readonly StageResult[];
    }
  | { readonly status: 'infeasible' };

/** The best so far, told while a stage runs: `value` and `bound` are missing until there are some. */
export interface SolverProgress {
  readonly stage: string;
  /** from 1 */
  readonly number: number;
  readonly of: number;
  readonly value?: number;
  readonly bound?: number;
}

/** The part of an AbortSignal that a solver listens to; calc knows no platform. */
export interface Cancellation {
  readonly aborted: boolean;
  addEventListener(type: 'abort', listener: () => void): void;
  removeEventListener(type: 'abort', listener: () => void): void;
}

export interface SolverOptions {
  /** for all stages together, from the moment the solving begins; when it ends, what is best so far is the result */
  readonly milliseconds: number;
  readonly cancel?: Cancellation;
  readonly onProgress?: (progress: SolverProgress) => void;
  /** a solution to begin with, such as that of a method without a solver; one that does not satisfy the rows is passed over */
  readonly start?: ReadonlyMap<string, number>;
}

/**
 * The one door to integer programming, and the one place in calc where something is waited for. Whoever calls it has a method without a solver to fall
 * back on when it rejects with a SolverError.
 */
export interface Solver {
  solve(model: IntegerModel, options: SolverOptions): Promise<SolverResult>;
}

/** Why nothing came back. */
export const solverErrorCodes = [
  /** the model has a number that is too large, a name twice or a name that is not there: a mistake of whoever wrote the model */
  'solver-refused',
  /** the time ended before there was any solution */
  'solver-time',
  /** who asked does not want to know any more */
  'solver-cancelled',
  /** too much is waiting to be solved already */
  'solver-busy',
  /** the solver ended by itself, out of memory or with an error */
  'solver-crashed',
  /** what the solver gave does not satisfy the rows exactly */
  'solver-inexact',
] as const;

export type SolverErrorCode = (typeof solverErrorCodes)[number];

/** The one error of a Solver. */
export class SolverError extends Error {
  readonly code: SolverErrorCode;

  constructor(code: SolverErrorCode, message: string) {
    super(message);
    this.name = 'SolverError';
    this.code = code;
  }
}
