// The demo cooperative at `npm start`: filled once, and begun anew when the filling was interrupted.
import { rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { runDemo } from './api-process.mjs';
import { withClient } from './database.mjs';
import { printSummary } from './demo-summary.mjs';
import { step } from './progress.mjs';

/**
 * Fills the demo cooperative when the database has neither it nor a real one.
 * @param {{ ownerUrl: string, env: NodeJS.ProcessEnv, folder: string }} place
 * @returns {Promise<boolean>} whether the demo is offered: not any more once a real cooperative is set up
 */
export async function ensureDemo({ ownerUrl, env, folder }) {
  // While the mark is there, everything in the database comes from a filling that did not end: nobody could sign in yet.
  const mark = join(folder, 'demo.filling');
  const wasInterrupted = await stat(mark).then(
    () => true,
    () => false,
  );
  if (wasInterrupted) await empty(ownerUrl);
  const { rows } = await withClient(ownerUrl, (client) =>
    client.query('SELECT demo_loaded_at, real_cooperative_at FROM installation'),
  );
  if (rows[0].real_cooperative_at) return false;
  if (rows[0].demo_loaded_at) return true;
  await writeFile(mark, '');
  await step('Filling the demo cooperative (once)', () => runDemo([], env));
  await rm(mark);
  return true;
}

/** @param {string} ownerUrl */
async function empty(ownerUrl) {
  await withClient(ownerUrl, async (client) => {
    const { rows } = await client.query(
      `SELECT string_agg(format('%I.%I', schemaname, tablename), ', ') AS tables FROM pg_tables
       WHERE schemaname = 'public' AND tablename NOT IN ('_prisma_migrations', 'installation')`,
    );
    await client.query('BEGIN');
    await client.query(`TRUNCATE ${rows[0].tables}`);
    await client.query('UPDATE installation SET demo_loaded_at = NULL, real_cooperative_at = NULL');
    await client.query('COMMIT');
  });
}

/** Shows the demo round. Its people may have changed their passwords since: then there is nothing to show, and nothing is wrong. @param {NodeJS.ProcessEnv} env */
export async function showDemo(env) {
  try {
    printSummary(JSON.parse(await runDemo(['--summary'], env)));
  } catch {
    console.log('The demo round cannot be summed up any more: its accounts or rounds have been changed.\n');
  }
}
