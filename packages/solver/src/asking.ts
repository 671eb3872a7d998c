import type {
  Cancellation,
  IntegerModel,
  Solver,
  SolverErrorCode,
  SolverProgress,
  SolverResult,
} from '@frostmoot/calc';
import { SolverError } from '@frostmoot/calc';
import type { MessagePort } from 'node:worker_threads';
import { withinTime } from './within-time.ts';

/** What a thread that proves sends: a model to solve, or how far it is. */
export type FromThread =
  | { ask: number; model: IntegerModel; milliseconds: number; start?: ReadonlyMap<string, number> }
  | { first: unknown }
  | { stage: string };

/** What comes back about a model. */
export type ToThread = { about: number } & (
  | { progress: SolverProgress }
  | { result: SolverResult }
  | { refused: { code: SolverErrorCode; message: string } }
  | { failed: string }
);

interface Answering {
  solver: Solver;
  /** for all that is asked together, from the first time on */
  milliseconds: number;
  stop: Cancellation;
}

/**
 * Solves what a thread asks through its port. Whoever stops it ends the time of the proof: the thread goes on with the best that it has, as when the time
 * ends by itself.
 */
export function answering(port: MessagePort, { solver, milliseconds, stop }: Answering) {
  let timed: Solver | undefined;
  return async ({ ask, model, milliseconds: each, start }: Extract<FromThread, { ask: number }>): Promise<void> => {
    const send = (message: ToThread): void => port.postMessage(message);
    // Whoever waits for the rest is let go at once, and no further question is begun.
    if (stop.aborted) return send({ about: ask, refused: { code: 'solver-time', message: 'The proof was ended.' } });
    timed ??= withinTime(solver, milliseconds);
    try {
      const result = await timed.solve(model, {
        milliseconds: each,
        onProgress: (progress) => send({ about: ask, progress }),
        ...(start ? { start } : {}),
        cancel: stop,
      });
      send({ about: ask, result });
    } catch (error) {
      if (!(error instanceof SolverError)) return send({ about: ask, failed: String(error) });
      const isStopped = stop.aborted && error.code === 'solver-cancelled';
      send({ about: ask, refused: { code: isStopped ? 'solver-time' : error.code, message: error.message } });
    }
  };
}
