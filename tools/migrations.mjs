// Brings a database up to the migrations of this repository. When none is missing, one query says so and the Prisma CLI is not started.
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { withClient } from './database.mjs';
import { prisma } from './prisma.mjs';
import { root, SetupError } from './workspace.mjs';

/** @param {string} ownerUrl @returns {Promise<string[]>} the names of migrations that the database has not had, in order */
export async function pendingMigrations(ownerUrl) {
  const entries = await readdir(join(root, 'prisma/migrations'), { withFileTypes: true });
  const here = entries.filter((entry) => entry.isDirectory()).map(({ name }) => name);
  const applied = await withClient(ownerUrl, async (client) => {
    const { rows } = await client.query(`SELECT to_regclass('public._prisma_migrations') IS NOT NULL AS known`);
    if (!rows[0].known) return new Set();
    const done = await client.query(
      'SELECT migration_name FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL',
    );
    return new Set(done.rows.map((row) => row.migration_name));
  });
  const unknown = [...applied].filter((name) => !here.includes(name)).sort();
  if (unknown.length > 0) {
    throw new SetupError(
      `The database is newer than this Frostmoot (it has the migration ${unknown.at(-1)}): start the newer version.`,
    );
  }
  return here.filter((name) => !applied.has(name)).sort();
}

/** @param {string} ownerUrl @returns {Promise<number>} how many migrations were applied */
export async function migrate(ownerUrl) {
  const pending = await pendingMigrations(ownerUrl);
  if (pending.length === 0) return 0;
  const { code, output } = await prisma(['migrate', 'deploy'], { databaseUrl: ownerUrl, quiet: true });
  if (code !== 0) throw new SetupError(`The database could not be migrated.\n${output.trimEnd()}`);
  return pending.length;
}
