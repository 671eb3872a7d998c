// One worker of the pool: solves a model stage by stage with HiGHS and tells how far it is. It is plain JavaScript because it is started as a file
// of its own, from the sources in tests and from the build in production.
import highsLoader from 'highs';
import { StagedSolve } from './staged-solve.mjs';

/** The package's types describe its CommonJS side; as a module the loader itself is the default export. */
const loadHighs = /** @type {typeof import('highs').default} */ (/** @type {unknown} */ (highsLoader));

/** @type {Promise<import('highs').Highs> | undefined} */
let loaded;

/** Above this the solver's memory, which never shrinks by itself, is given back by loading the solver anew. */
const KEPT_MEMORY_BYTES = 128 * 1024 * 1024;

/**
 * @param {import('./task.ts').Task} task
 * @returns {Promise<import('./task.ts').TaskResult>}
 */
export default async function work(task) {
  try {
    const highs = await (loaded ??= loadHighs({ wasmModule: task.module }));
    const result = new StagedSolve(highs, task).run();
    if (highs.memoryBytes > KEPT_MEMORY_BYTES) loaded = undefined;
    return result;
  } catch (error) {
    // After an abort inside of WebAssembly nothing of it can be trusted.
    loaded = undefined;
    return { status: 'failed', message: error instanceof Error ? error.message.slice(0, 300) : 'unknown' };
  } finally {
    task.port.close();
  }
}
