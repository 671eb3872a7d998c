// One worker of the pool for calculations: runs one of them by its name. It is plain JavaScript because it is started as a file of its own; what it
// calculates with is always the built calc, since a thread reads no TypeScript.
import { DomainError, provedCommands, SolverError, threadCommands } from '@frostmoot/calc';

/**
 * A solver that asks the one of the main thread.
 * @param {import('node:worker_threads').MessagePort} port
 * @returns {import('@frostmoot/calc').Solver}
 */
function askingSolver(port) {
  /** @type {Map<number, (message: import('./asking.ts').ToThread) => void>} */
  const open = new Map();
  let asked = 0;
  port.on('message', (message) => open.get(message.about)?.(message));
  return {
    solve: (model, { milliseconds, start, onProgress }) =>
      new Promise((resolve, reject) => {
        const ask = ++asked;
        open.set(ask, (message) => {
          if ('progress' in message) return onProgress?.(message.progress);
          open.delete(ask);
          if ('result' in message) resolve(message.result);
          else if ('failed' in message) reject(new Error(message.failed));
          else reject(new SolverError(message.refused.code, message.refused.message));
        });
        port.postMessage({ ask, model, milliseconds, ...(start ? { start } : {}) });
      }),
  };
}

/**
 * @param {import('./calc-pool.ts').CalcTask} task
 * @returns {Promise<import('./calc-pool.ts').CalcAnswer>}
 */
export default async function work(task) {
  try {
    if (!('port' in task)) return { result: threadCommands[task.name](/** @type {never} */ (task.input)) };
    const { name, input, port, milliseconds } = task;
    const proving = {
      solver: askingSolver(port),
      milliseconds,
      onFirst: (/** @type {unknown} */ first) => port.postMessage({ first }),
      onStage: (/** @type {string} */ stage) => port.postMessage({ stage }),
    };
    return { result: await provedCommands[name](input, proving) };
  } catch (error) {
    // An error that is copied to another thread loses its class and its fields, so that it goes as a value.
    if (!(error instanceof DomainError))
      return { failed: error instanceof Error ? (error.stack ?? error.message) : String(error) };
    const { code, message, errors, params } = error;
    return { refused: { code, message, errors, ...(params ? { params } : {}) } };
  } finally {
    if ('port' in task) task.port.close();
  }
}
