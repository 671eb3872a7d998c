// Installs the packages of package-lock.json when they are not there. Only Node's own modules: nothing is installed yet when this runs.
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { npm, root, SetupError } from './workspace.mjs';

/** @typedef {{ version?: string, link?: boolean, optional?: boolean, peer?: boolean }} LockedPackage */

/**
 * Whether everything the lock file asks for is installed. npm writes node_modules/.package-lock.json as the last thing it does, so an interrupted
 * installation has none. Optional packages are passed over: most of them are for another operating system.
 */
export async function isInstalled() {
  const [wanted, present] = await Promise.all(['package-lock.json', 'node_modules/.package-lock.json'].map(readLock));
  if (!wanted || !present) return false;
  return Object.entries(wanted).every(([path, entry]) => {
    if (!path.startsWith('node_modules/') || entry.optional) return true;
    const installed = present[path];
    return installed !== undefined && (entry.link === true || installed.version === entry.version);
  });
}

/** @param {string} name @returns {Promise<Record<string, LockedPackage> | undefined>} */
async function readLock(name) {
  try {
    return JSON.parse(await readFile(join(root, name), 'utf8')).packages;
  } catch {
    return undefined;
  }
}

/** Installs exactly what the lock file says. */
export async function install() {
  const present = await readLock('node_modules/.package-lock.json');
  // `npm ci` begins by deleting node_modules; with most of it there, `npm install` only adds what is missing.
  const command = present ? ['install'] : ['ci'];
  const { code, output } = await npm([...command, '--no-audit', '--no-fund', '--loglevel=error']);
  if (code === 0) return;
  if (/ENOSPC|no space left/i.test(output))
    throw new SetupError('The disk is full: the packages could not be installed.');
  if (/ENOTFOUND|ECONNREFUSED|ETIMEDOUT|EAI_AGAIN|network/i.test(output)) {
    throw new SetupError(`The packages could not be fetched: is the network there?\n${lastLines(output)}`);
  }
  throw new SetupError(`The packages could not be installed.\n${lastLines(output)}`);
}

/** @param {string} output */
function lastLines(output) {
  return output.trimEnd().split('\n').slice(-15).join('\n');
}
