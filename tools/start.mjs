#!/usr/bin/env node
// `npm start`: from a fresh clone to a running cooperative. Only Node's own modules are imported before the packages are installed; everything else
// comes after that step.
import { join } from 'node:path';
import { install, isInstalled } from './install.mjs';
import { watchNpm } from './processes.mjs';
import { seconds, step } from './progress.mjs';
import { apiEnvironment, checkPort, portFrom, startApi } from './api-process.mjs';
import { endPrograms, isMain, runCommand, SetupError } from './workspace.mjs';

const OLDEST_NODE = [20, 19];

export function checkNode(version = process.versions.node) {
  const [major = 0, minor = 0] = version.split('.').map(Number);
  const [wantedMajor = 0, wantedMinor = 0] = OLDEST_NODE;
  if (major > wantedMajor || (major === wantedMajor && minor >= wantedMinor)) return;
  throw new SetupError(`This is Node ${version}; Frostmoot needs Node ${OLDEST_NODE.join('.')} or newer.`);
}

/** What has been opened, closed again in reverse order. */
class Opened {
  /** @type {(() => Promise<void>)[]} */
  #undo = [];

  /** @param {() => Promise<void>} undo */
  add(undo) {
    this.#undo.push(undo);
  }

  async close() {
    for (const undo of this.#undo.splice(0).reverse()) await undo();
  }
}

/** @returns {AbortSignal} aborted, with the reason in words, when someone asks us to stop */
function stopAsked() {
  const controller = new AbortController();
  /** @param {string} reason */
  const ask = (reason) => {
    // Asked twice, we end at once; the next start puts right what is left.
    if (controller.signal.aborted) process.exit(1);
    controller.abort(reason);
    endPrograms();
  };
  for (const signal of /** @type {const} */ (['SIGINT', 'SIGTERM', 'SIGHUP'])) process.on(signal, () => ask(signal));
  void watchNpm(() => {
    if (!controller.signal.aborted) ask('npm has ended');
  });
  return controller.signal;
}

/** @param {Opened} opened @param {AbortSignal} asked */
async function open(opened, asked) {
  const begun = performance.now();
  const port = portFrom(process.env.PORT);
  await checkPort(port);
  console.log('Frostmoot is starting.');
  if (!(await isInstalled())) await step('Installing the packages (once)', install);
  asked.throwIfAborted();
  const { build } = await import('./build.mjs');
  if ((await build()) === 0) console.log('  Packages and build are up to date.');
  asked.throwIfAborted();

  const database = await openAndMigrate(opened);
  asked.throwIfAborted();
  const env = apiEnvironment(database, port);
  const { dataPlace } = await import('./data-folder.mjs');
  const { ensureDemo, showDemo } = await import('./demo.mjs');
  const { folder } = await dataPlace();
  const isDemo = await ensureDemo({ ownerUrl: database.ownerUrl, env, folder });
  asked.throwIfAborted();

  const log = join(folder, 'api.log');
  const api = await step('Starting the API and the web app', () => startApi(env, port, log, asked));
  opened.add(api.stop);
  console.log(`\nReady after ${seconds(begun)}: ${env.PUBLIC_URL || `http://localhost:${port}`}\n`);
  if (isDemo) await showDemo(env);
  console.log(`The log of the API is ${log}. Ctrl-C stops everything.`);
  return api;
}

/** @param {Opened} opened */
async function openAndMigrate(opened) {
  const { openDatabase } = await import('./database.mjs');
  const { migrate } = await import('./migrations.mjs');
  const database = await step('Opening the database', async (note) => {
    const result = await openDatabase();
    note(result.description);
    return result;
  });
  opened.add(database.stop);
  await step('Migrating', async (note) => {
    const count = await migrate(database.ownerUrl);
    note(count === 0 ? 'up to date' : `${count} applied`);
  });
  return database;
}

async function main() {
  checkNode();
  const opened = new Opened();
  const asked = stopAsked();
  try {
    const api = await open(opened, asked);
    const stopped = new Promise((resolve) => asked.addEventListener('abort', () => resolve(undefined)));
    await Promise.race([api.ended, asked.aborted ? undefined : stopped]);
    if (!asked.aborted) throw new SetupError('The API has ended by itself; its log says why.');
  } catch (error) {
    if (!asked.aborted) throw error;
  } finally {
    if (asked.aborted) console.log(`\nStopping (${asked.reason}) ...`);
    await opened.close();
  }
  console.log('Stopped.');
}

if (isMain(import.meta.url)) {
  await runCommand(main);
  process.exit();
}
