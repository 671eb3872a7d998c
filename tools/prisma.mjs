#!/usr/bin/env node
// Runs the Prisma CLI with the schema engine of this repository, without telemetry or update checks: `node tools/prisma.mjs migrate status`.
import { spawn } from 'node:child_process';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { isMain, root, run } from './workspace.mjs';

const SETTINGS = {
  PRISMA_SCHEMA_ENGINE_BINARY: fileURLToPath(new URL('./schema-engine.mjs', import.meta.url)),
  PRISMA_HIDE_UPDATE_MESSAGE: '1',
  CHECKPOINT_DISABLE: '1',
};

/**
 * @param {string[]} args the CLI's own arguments
 * @param {{ databaseUrl?: string, cwd?: string, quiet?: boolean }} [options] `quiet` collects the output instead of showing it
 * @returns {Promise<{ code: number, output: string }>}
 */
export function prisma(args, { databaseUrl, cwd = root, quiet = false } = {}) {
  const cli = createRequire(import.meta.url).resolve('prisma/build/index.js');
  const preload = new URL('./schema-engine-spawn.mjs', import.meta.url).href;
  const env = { ...process.env, ...SETTINGS, ...(databaseUrl ? { DATABASE_URL: databaseUrl } : {}) };
  const command = ['--import', preload, cli, ...args];
  if (quiet) return run(process.execPath, command, { cwd, env });
  // The CLI may ask a question, so it gets the terminal as it is.
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, command, { cwd, env, stdio: 'inherit' });
    child.on('error', reject);
    child.on('close', (code) => resolve({ code: code ?? 1, output: '' }));
  });
}

if (isMain(import.meta.url)) process.exitCode = (await prisma(process.argv.slice(2))).code;
