// Where the repository is, how its commands are started, and how a failure becomes a sentence. Only Node's own modules: this runs before anything
// is installed.
import { spawn } from 'node:child_process';
import { realpathSync } from 'node:fs';
import { fileURLToPath, pathToFileURL } from 'node:url';

/** The folder that holds package.json, without a slash at the end. */
export const root = fileURLToPath(new URL('..', import.meta.url)).replace(/[\\/]$/, '');

/** A failure that the person at the terminal can do something about: its message is the whole answer, no stack is shown. */
export class SetupError extends Error {}

/** @param {string} moduleUrl `import.meta.url` of the asking file */
export function isMain(moduleUrl) {
  const started = process.argv[1];
  return started !== undefined && realpathSync(started) === realpathSync(fileURLToPath(moduleUrl));
}

/**
 * Runs a program without a shell.
 * @param {string} file
 * @param {string[]} args
 * @param {import('node:child_process').SpawnOptions & { show?: boolean, channel?: boolean }} [options] `show` lets the output through; otherwise it is
 * collected. `channel` gives the program a channel to us, by whose end it notices ours.
 * @returns {Promise<{ code: number, output: string }>}
 */
export function run(file, args, { show = false, channel = false, ...options } = {}) {
  return new Promise((resolve, reject) => {
    const shown = show ? 'inherit' : 'pipe';
    const stdio = ['ignore', shown, shown, ...(channel ? ['ipc'] : [])];
    const child = spawn(file, args, { cwd: root, windowsHide: true, ...options, stdio: /** @type {any} */ (stdio) });
    running.add(child);
    let output = '';
    for (const stream of [child.stdout, child.stderr]) stream?.on('data', (chunk) => (output += chunk));
    child.on('error', reject);
    child.on('close', (code) => {
      running.delete(child);
      resolve({ code: code ?? 1, output });
    });
  });
}

/** @type {Set<import('node:child_process').ChildProcess>} */
const running = new Set();

/** Ends the programs that `run` has not seen the end of, when someone asks us to stop. */
export function endPrograms() {
  for (const child of running) child.kill();
}

/**
 * npm without a shell: the npm that started us is a script, given in npm_execpath. Without it npm's own file beside Node is used.
 * @param {string[]} args
 * @param {{ show?: boolean }} [options]
 */
export async function npm(args, options = {}) {
  const script = process.env.npm_execpath ?? (await npmBesideNode());
  return run(process.execPath, [script, ...args], options);
}

async function npmBesideNode() {
  const { access } = await import('node:fs/promises');
  const candidates = [
    '../lib/node_modules/npm/bin/npm-cli.js',
    './node_modules/npm/bin/npm-cli.js',
    '../share/nodejs/npm/bin/npm-cli.js',
  ];
  for (const candidate of candidates) {
    const path = new URL(candidate, pathToFileURL(realpathSync(process.execPath)));
    try {
      await access(path);
      return fileURLToPath(path);
    } catch {
      // Not there: the next place.
    }
  }
  throw new SetupError('npm was not found beside Node; start with `npm start` instead of `node tools/start.mjs`.');
}

/** @param {unknown} error */
export function sentence(error) {
  const { code, message = String(error), path } = /** @type {NodeJS.ErrnoException} */ (error ?? {});
  if (code === 'ENOSPC' || /No space left on device|ENOSPC|not enough space on the disk/i.test(message)) {
    return `The disk is full${path ? ` at ${path}` : ''}: free some space and start again.`;
  }
  if (code === 'EACCES' || code === 'EPERM') return `No permission: ${message}.`;
  return message;
}

/**
 * Runs a command of this folder and turns whatever goes wrong into one sentence and a non-zero exit.
 * @param {() => Promise<number | void>} command
 */
export async function runCommand(command) {
  try {
    const code = await command();
    if (code) process.exitCode = code;
  } catch (error) {
    console.error(`\n${sentence(error)}`);
    if (!(error instanceof SetupError) && process.env.FROSTMOOT_DEBUG) console.error(error);
    process.exitCode = 1;
  }
}
