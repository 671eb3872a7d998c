// The API as a child of `npm start`: started, awaited until it is ready, stopped. Its log goes to a file in the data folder.
import { spawn } from 'node:child_process';
import { closeSync, openSync } from 'node:fs';
import { readFile, rename, stat } from 'node:fs/promises';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { root, run, SetupError } from './workspace.mjs';

const READY_WITHIN_MS = 60_000;
const STOP_WITHIN_MS = 15_000;
const FOLLOW = ['--import', new URL('./follow-parent.mjs', import.meta.url).href];
const LOG_BYTES = 10_000_000;

/** @param {string | undefined} text */
export function portFrom(text) {
  const port = Number(text || '4310');
  if (Number.isInteger(port) && port > 0 && port < 65_536) return port;
  throw new SetupError(`PORT must be a whole number from 1 to 65535, not "${text}".`);
}

/** Waits a little for a port that a killed start is about to give back. @param {number} port @param {number} [patienceMs] */
export async function checkPort(port, patienceMs = 4_000) {
  const deadline = Date.now() + patienceMs;
  for (;;) {
    const problem = await tryPort(port);
    if (!problem) return;
    if (problem.code === 'EACCES')
      throw new SetupError(`Port ${port} needs administrator rights; choose one above 1023 with PORT.`);
    if (Date.now() > deadline) {
      throw new SetupError(`Port ${port} is taken by another program; stop it, or set PORT to another number.`);
    }
    await pause(200);
  }
}

/** @param {number} port @returns {Promise<NodeJS.ErrnoException | undefined>} */
function tryPort(port) {
  return new Promise((resolve) => {
    const server = createServer();
    server.once('error', resolve);
    server.listen(port, () => server.close(() => resolve(undefined)));
  });
}

/**
 * The environment in which the API and its demo script run.
 * @param {import('./database.mjs').Database} database
 * @param {number} port
 * @returns {NodeJS.ProcessEnv}
 */
export function apiEnvironment(database, port) {
  return {
    ...process.env,
    NODE_ENV: process.env.NODE_ENV || 'production',
    DATABASE_URL: database.appUrl,
    DIRECT_DATABASE_URL: database.directUrl,
    PORT: String(port),
    WEB_DIST: join(root, 'apps/web/dist'),
  };
}

/**
 * @typedef {object} Api
 * @property {Promise<number>} ended the exit code, whenever it ends
 * @property {() => Promise<void>} stop
 */

/**
 * @param {NodeJS.ProcessEnv} env
 * @param {number} port
 * @param {string} logFile
 * @param {AbortSignal} asked aborted when someone asks us to stop
 * @returns {Promise<Api>}
 */
export async function startApi(env, port, logFile, asked) {
  const size = await stat(logFile).then(
    (file) => file.size,
    () => 0,
  );
  if (size > LOG_BYTES) await rename(logFile, `${logFile}.1`);
  const begins = size > LOG_BYTES ? 0 : size;
  const log = openSync(logFile, 'a', 0o600);
  const child = spawn(process.execPath, [...FOLLOW, join(root, 'apps/api/dist/main.js')], {
    cwd: root,
    env,
    stdio: ['ignore', log, log, 'ipc'],
    windowsHide: true,
    // A group of its own, so that Ctrl-C reaches only us and the order of stopping is ours.
    detached: process.platform !== 'win32',
  });
  closeSync(log);
  /** @type {Promise<number>} */
  const ended = new Promise((resolve) =>
    child.once('exit', (code) => resolve(code ?? 1)).once('error', () => resolve(1)),
  );
  const stop = async () => {
    if (child.connected) child.disconnect();
    const late = pause(STOP_WITHIN_MS, 'late', { ref: false });
    if ((await Promise.race([ended, late])) === 'late') child.kill('SIGKILL');
    await ended;
  };
  try {
    await ready(healthUrl(env, port), ended, asked);
  } catch (error) {
    await stop();
    const lines = (await readFile(logFile, 'utf8')).slice(begins).trimEnd().split('\n').slice(-15).join('\n');
    throw new SetupError(`${/** @type {Error} */ (error).message}\n${lines}`);
  }
  return { ended, stop };
}

/** Where the API answers from this machine: on every address unless HOST names one. @param {NodeJS.ProcessEnv} env @param {number} port */
export function healthUrl(env, port) {
  const named = env.HOST && !['0.0.0.0', '::', 'localhost'].includes(env.HOST) ? env.HOST : '127.0.0.1';
  return `http://${named.includes(':') ? `[${named}]` : named}:${port}/api/health/ready`;
}

/** @param {string} url @param {Promise<number>} ended @param {AbortSignal} asked */
async function ready(url, ended, asked) {
  let hasEnded = false;
  void ended.then(() => (hasEnded = true));
  const deadline = Date.now() + READY_WITHIN_MS;
  let last = 'no answer';
  while (Date.now() < deadline && !hasEnded) {
    asked.throwIfAborted();
    try {
      const answer = await fetch(url, { signal: AbortSignal.timeout(2_000) });
      if (answer.ok) return;
      last = `${answer.status} ${await answer.text()}`;
    } catch {
      // Not listening yet.
    }
    await pause(50);
  }
  throw new Error(
    hasEnded ? 'The API ended while starting.' : `The API was not ready within ${READY_WITHIN_MS / 1000} s (${last}).`,
  );
}

/**
 * Runs the script that fills and describes the demo cooperative.
 * @param {string[]} args
 * @param {NodeJS.ProcessEnv} env
 */
export async function runDemo(args, env) {
  const script = join(root, 'apps/api/dist/demo.js');
  const { code, output } = await run(process.execPath, [...FOLLOW, script, ...args], { env, channel: true });
  if (code !== 0)
    throw new SetupError(
      `The demo cooperative could not be ${args.includes('--summary') ? 'read' : 'filled'}.\n${output.trimEnd()}`,
    );
  return output;
}
