// Where the repository is, and whether a file of it was started by itself. Only Node's own modules: this runs before anything is installed.
import { realpathSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** The folder that holds package.json, without a slash at the end. */
export const root = fileURLToPath(new URL('..', import.meta.url)).replace(/[\\/]$/, '');

/** @param {string} moduleUrl `import.meta.url` of the asking file */
export function isMain(moduleUrl) {
  const started = process.argv[1];
  return started !== undefined && realpathSync(started) === realpathSync(fileURLToPath(moduleUrl));
}
