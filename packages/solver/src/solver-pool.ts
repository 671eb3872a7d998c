import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { availableParallelism } from 'node:os';
import { MessageChannel } from 'node:worker_threads';
import { Piscina } from 'piscina';
import type { IntegerModel, Solver, SolverOptions, SolverProgress, SolverResult } from '@frostmoot/calc';
import { faultsOfValues, modelFaults, SolverError } from '@frostmoot/calc';
import type { Columns } from './columns.ts';
import { columnsOf } from './columns.ts';
import type { Task, TaskNews, TaskResult, TaskStageResult } from './task.ts';
import { Turns } from './turns.ts';

export interface SolverPoolOptions {
  /** worker threads at most; by default one less than there are processors, so that one is left for requests */
  threads?: number;
  /** solves that wait at most; more are refused at once, so that a flood of them cannot fill the memory */
  waiting?: number;
  /** of the heap of each worker, and again for the solver's own memory */
  memoryMegabytes?: number;
  /** how long a worker without work is kept */
  idleMilliseconds?: number;
  /** the file that a worker runs; another one is for tests of what happens when it fails */
  worker?: URL;
}

const signs = { least: 1, most: -1 } as const;

const compileHighs = async (): Promise<WebAssembly.Module> =>
  WebAssembly.compile(await readFile(createRequire(import.meta.url).resolve('highs/runtime')));

/** How much later than its time a worker may answer by itself before it is ended. */
const graceOf = (milliseconds: number): number => 200 + milliseconds * 0.1;

/** Solves integer programs in worker threads, so that whoever asks is never held up. Close it when the process ends. */
export class SolverPool implements Solver {
  private readonly pool: Piscina;
  private readonly turns: Turns;
  private readonly memoryBytes: number;
  private module: Promise<WebAssembly.Module> | undefined;
  private isClosed = false;

  constructor(options: SolverPoolOptions = {}) {
    const megabytes = options.memoryMegabytes ?? 512;
    const threads = options.threads ?? Math.max(1, availableParallelism() - 1);
    this.turns = new Turns(threads, options.waiting ?? 1000);
    this.memoryBytes = megabytes * 1024 * 1024;
    this.pool = new Piscina({
      filename: (options.worker ?? new URL('./worker.mjs', import.meta.url)).href,
      minThreads: 0,
      maxThreads: threads,
      idleTimeout: options.idleMilliseconds ?? 30_000,
      resourceLimits: { maxOldGenerationSizeMb: megabytes, maxYoungGenerationSizeMb: 64 },
    });
  }

  async solve(model: IntegerModel, options: SolverOptions): Promise<SolverResult> {
    if (this.isClosed) throw new SolverError('solver-cancelled', 'The solver is closed.');
    if (options.cancel?.aborted) throw new SolverError('solver-cancelled', 'Nobody wants to know any more.');
    const faults = modelFaults(model);
    if (faults.length > 0) throw new SolverError('solver-refused', faults.slice(0, 3).join(' '));
    if (model.variables.length === 0) return withoutVariables(model);
    const columns = columnsOf(model);
    const answer = await this.turns.take(() => this.run(model, columns, options), options.cancel);
    const result = resultOf(model, columns, answer);
    if (result.status !== 'infeasible') {
      const wrong = faultsOfValues(model, result.values);
      if (wrong.length > 0)
        throw new SolverError('solver-inexact', `Not satisfied exactly: ${wrong.slice(0, 3).join(', ')}.`);
    }
    return result;
  }

  private async run(model: IntegerModel, columns: Columns, options: SolverOptions): Promise<TaskResult> {
    const run = new Run(this.pool, model, columns, options);
    try {
      return await run.result(await this.compiled(), this.memoryBytes);
    } catch (error) {
      if (this.isClosed) throw new SolverError('solver-cancelled', 'The solver is closed.');
      throw error;
    }
  }

  private compiled(): Promise<WebAssembly.Module> {
    return (this.module ??= compileHighs());
  }

  /** How many threads there are now. */
  get threads(): number {
    return this.pool.threads.length;
  }

  /** Ends all workers; what is still being solved rejects with `solver-cancelled`. */
  async close(): Promise<void> {
    if (this.isClosed) return;
    this.isClosed = true;
    this.turns.close();
    await this.pool.destroy();
  }
}

/** A model without variables has one solution or none. */
function withoutVariables(model: IntegerModel): SolverResult {
  const values = new Map<string, number>();
  if (faultsOfValues(model, values).length > 0) return { status: 'infeasible' };
  return {
    status: 'optimal',
    values,
    stages: model.stages.map(({ name }) => ({ name, value: 0, bound: 0, proved: true })),
  };
}

/** One model in the hands of a worker. */
class Run {
  private readonly pool: Piscina;
  private readonly model: IntegerModel;
  private readonly columns: Columns;
  private readonly options: SolverOptions;
  private readonly ending = new AbortController();
  private why: 'time' | 'cancelled' | undefined;
  private best: { values: Float64Array; done: TaskStageResult[] } | undefined;

  constructor(pool: Piscina, model: IntegerModel, columns: Columns, options: SolverOptions) {
    this.pool = pool;
    this.model = model;
    this.columns = columns;
    this.options = options;
  }

  async result(module: WebAssembly.Module, memoryBytes: number): Promise<TaskResult> {
    const { milliseconds, cancel } = this.options;
    if (cancel?.aborted) throw new SolverError('solver-cancelled', 'Nobody wants to know any more.');
    const { port1, port2 } = new MessageChannel();
    port2.on('message', (news: TaskNews) => this.hear(news));
    const onCancel = (): void => this.end('cancelled');
    cancel?.addEventListener('abort', onCancel);
    const timer = setTimeout(() => this.end('time'), milliseconds + graceOf(milliseconds));
    try {
      const start = this.startValues();
      const task: Task = { ...this.columns.task, start, milliseconds, memoryBytes, module, port: port1 };
      return (await this.pool.run(task, { transferList: [port1], signal: this.ending.signal })) as TaskResult;
    } catch (error) {
      return this.afterEnd(error);
    } finally {
      clearTimeout(timer);
      cancel?.removeEventListener('abort', onCancel);
      port2.close();
    }
  }

  private end(why: 'time' | 'cancelled'): void {
    this.why ??= why;
    this.ending.abort();
  }

  /** The worker has been ended by us, or has ended without being asked to. */
  private afterEnd(error: unknown): TaskResult {
    const message = error instanceof Error ? error.message : String(error);
    if (this.why === 'cancelled') throw new SolverError('solver-cancelled', 'Nobody wants to know any more.');
    if (this.why === 'time') {
      return this.best
        ? { status: 'solved', values: this.best.values, stages: this.best.done }
        : { status: 'nothing-found' };
    }
    throw new SolverError('solver-crashed', `A worker of the solver has ended: ${message}`);
  }

  private hear({ stage, value, bound, values, done }: TaskNews): void {
    if (values) this.best = { values, done };
    const name = this.columns.stageNames[stage];
    if (name === undefined || !this.options.onProgress) return;
    const sign = signs[this.model.stages[stage]?.seek ?? 'least'];
    const progress: SolverProgress = {
      stage: name,
      number: stage + 1,
      of: this.columns.stageNames.length,
      ...(value === null ? {} : { value: sign * value + 0 }),
      ...(bound === null ? {} : { bound: sign * bound + 0 }),
    };
    this.options.onProgress(progress);
  }

  private startValues(): Float64Array | null {
    const { start } = this.options;
    if (!start) return null;
    return Float64Array.from(this.columns.names, (name) => start.get(name) ?? NaN);
  }
}

/** The worker's answer with names for numbers. */
function resultOf(model: IntegerModel, { names, stageNames }: Columns, result: TaskResult): SolverResult {
  switch (result.status) {
    case 'infeasible':
      return { status: 'infeasible' };
    case 'nothing-found':
      throw new SolverError('solver-time', 'The time ended before there was a solution.');
    case 'inexact':
      throw new SolverError('solver-inexact', 'The solution of the solver is not whole.');
    case 'failed':
      throw new SolverError('solver-crashed', `The solver failed: ${result.message}`);
    case 'solved': {
      const stages = result.stages.map(({ value, bound, proved }, i) => {
        const sign = signs[model.stages[i]?.seek ?? 'least'];
        return { name: stageNames[i] ?? '', value: sign * value + 0, bound: sign * bound + 0, proved };
      });
      const isProved = stages.length === stageNames.length && stages.every(({ proved }) => proved);
      const values = new Map(names.map((name, i) => [name, result.values[i] ?? NaN]));
      return { status: isProved ? 'optimal' : 'bounded', values, stages };
    }
  }
}
