import type { MessagePort } from 'node:worker_threads';

/** A stage as arrays; the objective is sought as small as possible, so that what is to be as great as possible comes with its signs turned. */
export interface TaskStage {
  name: string;
  indices: Int32Array;
  values: Float64Array;
}

/** A model as the worker takes it: numbers for names, rows in compressed form, all of it copied by structured clone. */
export interface Task {
  columns: { least: Float64Array; most: Float64Array; whole: Uint8Array };
  rows: { least: Float64Array; most: Float64Array; starts: Int32Array; indices: Int32Array; values: Float64Array };
  stages: TaskStage[];
  start: Float64Array | null;
  /** see IntegerModel */
  before: 'rounding' | 'branching' | null;
  milliseconds: number;
  /** the most that the solver's memory may grow to */
  memoryBytes: number;
  /** HiGHS, compiled once for all workers: they share what the engine has optimised, so that only the first solves are slow */
  module: WebAssembly.Module;
  /** takes TaskNews while the worker is at work */
  port: MessagePort;
}

/** How far a stage is, always as small as possible; `bound` is whole and never above what can be reached. */
export interface TaskStageResult {
  value: number;
  bound: number;
  proved: boolean;
}

/** What a worker tells while it works: the best so far of the stage that is running. */
export interface TaskNews {
  stage: number;
  value: number | null;
  bound: number | null;
  /** values of all columns that reach `value`, when they are new */
  values: Float64Array | null;
  /** the stages that are done */
  done: TaskStageResult[];
}

export type TaskResult =
  | { status: 'solved'; values: Float64Array; stages: TaskStageResult[] }
  | { status: 'infeasible' }
  | { status: 'nothing-found' }
  | { status: 'inexact' }
  | { status: 'failed'; message: string };
