#!/usr/bin/env node
// `npm run dev`: the compiler and the API watch their files, and Vite serves the web app with hot reload and passes /api on.
import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { apiEnvironment, checkPort, portFrom } from './api-process.mjs';
import { build, generate } from './build.mjs';
import { dataPlace } from './data-folder.mjs';
import { openDatabase } from './database.mjs';
import { ensureDemo } from './demo.mjs';
import { migrate } from './migrations.mjs';
import { step } from './progress.mjs';
import { isMain, root, runCommand } from './workspace.mjs';

const VITE_PORT = 5173;

/** @param {string[]} args @param {NodeJS.ProcessEnv} env */
function watch(args, env) {
  return spawn(process.execPath, args, { cwd: root, env, stdio: 'inherit' });
}

async function main() {
  const port = portFrom(process.env.PORT);
  await checkPort(port);
  await generate();
  await build();
  const database = await step('Opening the database', () => openDatabase());
  try {
    await migrate(database.ownerUrl);
    const env = {
      ...apiEnvironment(database, port),
      NODE_ENV: 'development',
      // The browser talks to Vite, so that is the only origin that may write.
      PUBLIC_URL: `http://localhost:${VITE_PORT}`,
      FROSTMOOT_API: `http://127.0.0.1:${port}`,
    };
    await ensureDemo({ ownerUrl: database.ownerUrl, env, folder: (await dataPlace()).folder });
    const modules = join(root, 'node_modules');
    const children = [
      watch(
        [
          join(modules, 'typescript/bin/tsc'),
          '-b',
          'packages/contract',
          'apps/api',
          '--watch',
          '--preserveWatchOutput',
        ],
        env,
      ),
      watch(['--watch', '--watch-preserve-output', 'apps/api/dist/main.js'], env),
      watch([join(modules, 'vite/bin/vite.js'), 'apps/web', '--port', String(VITE_PORT), '--strictPort'], env),
    ];
    await new Promise((resolve) => {
      for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, resolve);
      for (const child of children) child.on('exit', resolve);
    });
    await Promise.all(children.map((child) => ended(child)));
  } finally {
    await database.stop();
  }
}

/** @param {import('node:child_process').ChildProcess} child */
function ended(child) {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve();
  return new Promise((resolve) => {
    child.once('exit', resolve);
    child.kill('SIGTERM');
  });
}

if (isMain(import.meta.url)) await runCommand(main);
