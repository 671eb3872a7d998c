import { availableParallelism } from 'node:os';
import type { MessagePort } from 'node:worker_threads';
import { MessageChannel, receiveMessageOnPort } from 'node:worker_threads';
import { Piscina } from 'piscina';
import type {
  Cancellation,
  DomainErrorCode,
  DomainErrorDetails,
  FirstOf,
  Proved,
  ProvedName,
  Solver,
  ThreadInput,
  ThreadName,
  ThreadResult,
} from '@frostmoot/calc';
import { DomainError, SolverError } from '@frostmoot/calc';
import { answering } from './asking.ts';
import type { FromThread } from './asking.ts';
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

export interface ProveOptions<First> extends CalcOptions {
  solver: Solver;
  /** for the solver, from when it is first asked; nil: nothing is asked */
  proofMilliseconds: number;
  /** ends the proof, and the best so far is the result; `cancel` gives everything up */
  stop?: Cancellation;
  /** told of what is found without the solver */
  onFirst?: (first: First) => void;
  onStage?: (stage: string) => void;
}

export type CalcTask =
  { name: ThreadName; input: unknown } | { name: ProvedName; input: unknown; milliseconds: number; port: MessagePort };

export type CalcAnswer =
  | { result: unknown }
  | { failed: string }
  | {
      refused: { code: DomainErrorCode; message: string } & Required<Pick<DomainErrorDetails, 'errors'>> &
        DomainErrorDetails;
    };

/** Runs calculations by their name in worker threads, so that whoever asks is never held up. Close it when the process ends. */
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
  async run<Name extends ThreadName>(
    name: Name,
    input: ThreadInput<Name>,
    options: CalcOptions,
  ): Promise<ThreadResult<Name>> {
    const answer = await this.inTurn(() => this.work({ name, input }, options), options);
    return resultOf<ThreadResult<Name>>(name, answer);
  }

  /** As run, for a calculation that asks a solver; what it asks is solved where it was asked from, and the thread waits for it. */
  async prove<Name extends ProvedName>(
    name: Name,
    input: unknown,
    options: ProveOptions<FirstOf<Name>>,
  ): Promise<Proved<Name>> {
    const answer = await this.inTurn(() => this.proving(name, input, options), options);
    return resultOf<Proved<Name>>(name, answer);
  }

  private async proving<Name extends ProvedName>(
    name: Name,
    input: unknown,
    options: ProveOptions<FirstOf<Name>>,
  ): Promise<CalcAnswer> {
    const { solver, proofMilliseconds: milliseconds, stop, onFirst, onStage } = options;
    const { port1: port, port2 } = new MessageChannel();
    // Whatever ends the thread ends what is being solved for it too.
    const ending = new AbortController();
    const onStop = (): void => ending.abort();
    if (stop?.aborted) onStop();
    stop?.addEventListener('abort', onStop);
    const answer = answering(port2, { solver, milliseconds, stop: ending.signal });
    const hear = (news: FromThread): void => {
      if ('ask' in news) void answer(news);
      else if ('first' in news) onFirst?.(news.first as FirstOf<Name>);
      else onStage?.(news.stage);
    };
    port2.on('message', hear);
    try {
      const done = await this.work({ name, input, milliseconds, port }, options, [port]);
      // What was told before the end may come in after it.
      for (let last = receiveMessageOnPort(port2); last; last = receiveMessageOnPort(port2))
        hear(last.message as FromThread);
      return done;
    } finally {
      stop?.removeEventListener('abort', onStop);
      ending.abort();
      port2.close();
    }
  }

  private async inTurn(work: () => Promise<CalcAnswer>, { cancel }: CalcOptions): Promise<CalcAnswer> {
    if (this.isClosed || cancel?.aborted) throw interrupted('Nobody wants to know any more.');
    try {
      return await this.turns.take(work, cancel);
    } catch (error) {
      if (!(error instanceof SolverError)) throw error;
      if (error.code === 'solver-busy') throw new DomainError('unavailable', 'Too much is waiting to be worked out.');
      throw interrupted('Nobody wants to know any more.');
    }
  }

  private async work(
    task: CalcTask,
    { milliseconds, cancel }: CalcOptions,
    transferList: MessagePort[] = [],
  ): Promise<CalcAnswer> {
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
      return (await this.pool.run(task, { signal: ending.signal, transferList })) as CalcAnswer;
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

function resultOf<Result>(name: string, answer: CalcAnswer): Result {
  if ('result' in answer) return answer.result as Result;
  if ('failed' in answer) throw new Error(`${name} has failed: ${answer.failed}`);
  const { code, message, ...details } = answer.refused;
  throw new DomainError(code, message, details);
}

const interrupted = (message: string): DomainError => new DomainError('interrupted', message);
