#!/usr/bin/env node
// `npx frostmoot doctor`: what is wrong with this set-up, in sentences. It changes nothing; an embedded database that is not running is started for the
// look and stopped again.
import { access, constants, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { checkPort, healthUrl, portFrom } from './api-process.mjs';
import { isInstalled } from './install.mjs';
import { checkNode } from './start.mjs';
import { isMain, sentence } from './workspace.mjs';

/** @typedef {'ok' | 'note' | 'wrong'} Verdict */
/** @typedef {[Verdict, string]} Finding */

/** @returns {Promise<number>} 0 when nothing is wrong */
export async function doctor() {
  /** @type {Finding[]} */
  const findings = [];
  /** @param {() => Promise<Finding[]> | Finding[]} look */
  const examine = async (look) => {
    const found = await Promise.resolve()
      .then(look)
      .catch((error) => [/** @type {Finding} */ (['wrong', sentence(error)])]);
    findings.push(...found);
    for (const [verdict, words] of found) console.log(`  ${verdict.padEnd(5)}  ${words}`);
  };
  await examine(node);
  await examine(packages);
  if (findings.some(([verdict]) => verdict === 'wrong')) return 1;
  for (const look of [built, dataFolder, port, database, browser]) await examine(look);
  const wrong = findings.filter(([verdict]) => verdict === 'wrong').length;
  console.log(wrong === 0 ? '\nNothing is wrong.' : `\n${wrong === 1 ? 'One thing is' : `${wrong} things are`} wrong.`);
  return wrong === 0 ? 0 : 1;
}

/** @returns {Finding[]} */
function node() {
  checkNode();
  return [['ok', `Node ${process.versions.node}`]];
}

/** @returns {Promise<Finding[]>} */
async function packages() {
  return (await isInstalled())
    ? [['ok', 'The packages of package-lock.json are installed.']]
    : [['wrong', 'Packages are missing or of another version: run `npm install`, or `npm start`, which does it.']];
}

/** @returns {Promise<Finding[]>} */
async function built() {
  const { isBuilt } = await import('./build.mjs');
  return [
    (await isBuilt())
      ? ['ok', 'The build is that of the files as they are now.']
      : ['note', 'Files have changed since the last build; the next start builds.'],
  ];
}

/** @returns {Promise<Finding[]>} */
async function dataFolder() {
  const { dataPlace } = await import('./data-folder.mjs');
  const { folder, movedFrom } = await dataPlace();
  await access(folder, constants.W_OK);
  return [
    [
      'ok',
      movedFrom
        ? `The data is in ${folder}, since the database user cannot enter ${movedFrom}.`
        : `The data is in ${folder}.`,
    ],
  ];
}

/** @returns {Promise<Finding[]>} */
async function port() {
  const wanted = portFrom(process.env.PORT);
  const answer = await fetch(healthUrl(process.env, wanted), {
    signal: AbortSignal.timeout(2_000),
  }).catch(() => undefined);
  if (answer)
    return [
      answer.ok
        ? ['ok', `Frostmoot answers on port ${wanted}.`]
        : ['wrong', `Port ${wanted} answers ${answer.status} to /api/health/ready.`],
    ];
  await checkPort(wanted, 0);
  return [['ok', `Port ${wanted} is free.`]];
}

/** @returns {Promise<Finding[]>} */
async function database() {
  const { wantedFolder, dataPlace } = await import('./data-folder.mjs');
  const { folder } = await dataPlace();
  const isMade = await stat(join(folder, 'postgres/PG_VERSION')).then(
    () => true,
    () => false,
  );
  if (!process.env.DATABASE_URL && !isMade)
    return [['note', `There is no database in ${wantedFolder()} yet; the first start makes it.`]];
  const { openDatabase } = await import('./database.mjs');
  const opened = await openDatabase({ exclusive: false });
  try {
    return await examineDatabase(opened);
  } finally {
    await opened.stop();
  }
}

/** @param {import('./database.mjs').Database} database @returns {Promise<Finding[]>} */
async function examineDatabase({ ownerUrl, appUrl, description }) {
  const { checkServer, withClient } = await import('./database.mjs');
  const { pendingMigrations } = await import('./migrations.mjs');
  const major = await checkServer(ownerUrl);
  const pending = await pendingMigrations(ownerUrl);
  const ownerSeesAll = await withClient(ownerUrl, async (client) => {
    const { rows } = await client.query(
      'SELECT rolsuper OR rolbypassrls AS all FROM pg_roles WHERE rolname = current_user',
    );
    return rows[0].all;
  });
  const [app] = await withClient(appUrl, async (client) => {
    const { rows } = await client.query(
      `SELECT rolname, rolsuper OR rolbypassrls AS unbound, (SELECT count(*)::int FROM pg_class WHERE relowner = pg_roles.oid) AS owned
       FROM pg_roles WHERE rolname = current_user`,
    );
    return rows;
  });
  /** @type {Finding[]} */
  const findings = [
    ['ok', `The database answers: PostgreSQL ${major}, ${description}.`],
    pending.length === 0
      ? ['ok', 'Every migration is applied.']
      : ['wrong', `Not applied yet: ${pending.join(', ')}; run \`npm run migrate\`, or \`npm start\`, which does it.`],
    app.unbound
      ? [
          'wrong',
          `The role ${app.rolname} of the application is not held by row-level security: take SUPERUSER and BYPASSRLS from it.`,
        ]
      : ['ok', `The role ${app.rolname} of the application is held by row-level security.`],
    app.owned > 0
      ? [
          'wrong',
          `The role ${app.rolname} of the application owns ${app.owned} tables or indexes: give them to the role that migrates.`,
        ]
      : ['ok', `The role ${app.rolname} of the application owns nothing.`],
  ];
  if (!ownerSeesAll) {
    findings.push([
      'note',
      'The role that migrates is held by row-level security itself, so broken invariants cannot be looked for.',
    ]);
  } else if (pending.length === 0) {
    findings.push(await invariants(ownerUrl));
  }
  return findings;
}

/** @param {string} ownerUrl @returns {Promise<Finding>} */
async function invariants(ownerUrl) {
  const { withClient } = await import('./database.mjs');
  const { rows } = await withClient(ownerUrl, (client) =>
    client.query('SELECT rule, count(*)::int AS n FROM broken_invariant GROUP BY rule ORDER BY rule'),
  );
  if (rows.length === 0) return ['ok', 'No invariant of the data is broken.'];
  return ['wrong', `Invariants of the data are broken: ${rows.map(({ rule, n }) => `${rule} (${n})`).join(', ')}.`];
}

/** @returns {Promise<Finding[]>} */
async function browser() {
  const { chromiumPath } = await import('./chromium.mjs');
  try {
    return [['ok', `The browser tests use ${chromiumPath()}.`]];
  } catch (error) {
    return [['note', sentence(error)]];
  }
}

if (isMain(import.meta.url)) process.exitCode = await doctor();
