#!/usr/bin/env node
// `npm run migrate`: brings the database up to date without starting anything else. With arguments it is the Prisma CLI's `migrate` on that database:
// `npm run migrate -- dev --create-only --name add_something`.
import { openDatabase } from './database.mjs';
import { migrate } from './migrations.mjs';
import { prisma } from './prisma.mjs';
import { step } from './progress.mjs';
import { isMain, runCommand } from './workspace.mjs';

/** @param {string[]} args */
async function main(args) {
  const database = await step('Opening the database', async (note) => {
    const opened = await openDatabase();
    note(opened.description);
    return opened;
  });
  try {
    if (args.length > 0) return (await prisma(['migrate', ...args], { databaseUrl: database.ownerUrl })).code;
    await step('Migrating', async (note) => {
      const count = await migrate(database.ownerUrl);
      note(count === 0 ? 'already up to date' : `${count} applied`);
    });
    return 0;
  } finally {
    await database.stop();
  }
}

if (isMain(import.meta.url)) await runCommand(() => main(process.argv.slice(2)));
