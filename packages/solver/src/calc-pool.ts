import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';
import type { Cancellation, CommandName, commands, DomainErrorCode, DomainErrorDetails } from '@frostmoot/calc';
import { DomainError, SolverError } from '@frostmoot/calc';
import { Turns } from './turns.ts';

export interface CalcPoolOptions {
  /** worker threads at most; by default one less than there are processors, so that one is left for requests */
  threads?: number;
  /** calculations that wait at most; more are refused at once */
  waiting?: number;
  /** of the heap of each worker */
  memoryMegabytes?: number;
  /** how long a worker without work is kept */
  idleMilliseconds?: number;
  /** the file that a worker runs; another one is for tests of what happens when it fails */
  worker?: URL;
}

export interface CalcOptions {
  /** from when its turn comes */
  milliseconds: number;
  cancel?: Cancellation;
}

export interface CalcTask {
  name: CommandName;
  input: unknown;
}

export type CalcAnswer =
  | { result: unknown }
  | { failed: string }
  | {
      refused: { code: DomainErrorCode; message: string } & Required<Pick<DomainErrorDetails, 'errors'>> &
        DomainErrorDetails;
    };

type Result<Name extends CommandName> = ReturnType<(typeof commands)[Name]>;

/** Runs calculations by their name in worker threads, JSON to JSON, so that whoever asks is never held up. Close it when the process ends. */
export class CalcPool {
  private readonly pool: Piscina;
  private readonly turns: Turns;
  private isClosed = false;

  constructor(options: CalcPoolOptions = {}) {
    const threads = options.threads ?? Math.max(1, availableParallelism() - 1);
    this.turns = new Turns(threads, options.waiting ?? 1000);
    this.pool = new Piscina({
      filename: (options.worker ?? new URL('./calc-worker.mjs', import.meta.url)).href,
      minThreads: 0,
      maxThreads: threads,
      idleTimeout: options.idleMilliseconds ?? 30_000,
      resourceLimits: { maxOldGenerationSizeMb: options.memoryMegabytes ?? 512 },
    });
  }

  /**
   * The result of the calculation, or its refusal as the DomainError that it threw. Besides: `took-too-long` when the time has ended, `interrupted` when the
   * worker ended without being asked to, was cancelled or the pool is closed, `unavailable` when too many wait. The thread of a calculation that is given up is
   * ended and replaced.
   */
  async run<Name extends CommandName>(name: Name, input: unknown, options: CalcOptions): Promise<Result<Name>> {
    if (this.isClosed || options.cancel?.aborted) throw interrupted('Nobody wants to know any more.');
    const answer = await this.inTurn({ name, input }, options);
    if ('result' in answer) return answer.result as Result<Name>;
    if ('failed' in answer) throw new Error(`${name} has failed: ${answer.failed}`);
    const { code, message, ...details } = answer.refused;
    throw new DomainError(code, message, details);
  }

  private async inTurn(task: CalcTask, options: CalcOptions): Promise<CalcAnswer> {
    try {
      return await this.turns.take(() => this.work(task, options), options.cancel);
    } catch (error) {
      if (!(error instanceof SolverError)) throw error;
      if (error.code === 'solver-busy') throw new DomainError('unavailable', 'Too much is waiting to be worked out.');
      throw interrupted('Nobody wants to know any more.');
    }
  }

  private async work(task: CalcTask, { milliseconds, cancel }: CalcOptions): Promise<CalcAnswer> {
    if (this.isClosed || cancel?.aborted) throw interrupted('Nobody wants to know any more.');
    const ending = new AbortController();
    let isLate = false;
    const onCancel = (): void => ending.abort();
    cancel?.addEventListener('abort', onCancel);
    const timer = setTimeout(() => {
      isLate = true;
      ending.abort();
    }, milliseconds);
    try {
      return (await this.pool.run(task, { signal: ending.signal })) as CalcAnswer;
    } catch {
      if (isLate) throw new DomainError('took-too-long', `No result within ${milliseconds} milliseconds.`);
      if (ending.signal.aborted || this.isClosed) throw interrupted('Nobody wants to know any more.');
      throw interrupted('The thread that worked it out has ended.');
    } finally {
      clearTimeout(timer);
      cancel?.removeEventListener('abort', onCancel);
    }
  }

  /** Ends all workers; what is still being worked out is refused as `interrupted`. */
  async close(): Promise<void> {
    if (this.isClosed) return;
    this.isClosed = true;
    this.turns.close();
    await this.pool.destroy();
  }
}

const interrupted = (message: string): DomainError => new DomainError('interrupted', message);
