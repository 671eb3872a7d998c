// One worker of the pool for calculations: runs one of them by its name. It is plain JavaScript because it is started as a file of its own; what it
// calculates with is always the built calc, since a thread reads no TypeScript.
import { commands, DomainError } from '@frostmoot/calc';

/**
 * @param {import('./calc-pool.ts').CalcTask} task
 * @returns {import('./calc-pool.ts').CalcAnswer}
 */
export default function work({ name, input }) {
  try {
    return { result: commands[name](input) };
  } catch (error) {
    // An error that is copied to another thread loses its class and its fields, so that it goes as a value.
    if (!(error instanceof DomainError))
      return { failed: error instanceof Error ? (error.stack ?? error.message) : String(error) };
    const { code, message, errors, params } = error;
    return { refused: { code, message, errors, ...(params ? { params } : {}) } };
  }
}
