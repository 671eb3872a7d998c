// The PostgreSQL server of one test run, shared by all its processes: TEST_DATABASE_URL, or a container (TEST_POSTGRES=docker), or an embedded server
// that the first test in need of it starts. It holds a migrated template, of which every test file gets its own copy.
import { randomBytes } from 'node:crypto';
import { chmod, mkdir, mkdtemp, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { addressFor, APP, OWNER, prepareRoles, withClient } from './database.mjs';
import { migrate } from './migrations.mjs';
import { openCluster } from './postgres.mjs';
import { isAlive } from './processes.mjs';

const PREFIX = 'frostmoot-test-';
const FOLDER_VARIABLE = 'FROSTMOOT_TEST_FOLDER';
const IMAGE = process.env.TEST_POSTGRES_IMAGE || 'postgres:18-alpine';

/**
 * @typedef {object} TestServer
 * @property {string} adminUrl a superuser, on the maintenance database
 * @property {string} template the migrated database that is copied
 * @property {string} ownerPassword
 * @property {string} appPassword
 */

/** @type {{ stop: () => Promise<unknown> } | undefined} */
let container;

/** Called once before a test run: makes the folder that its processes share. No server is started yet, unless it is a container. */
export async function beginTestRun() {
  await sweep();
  const folder = await mkdtemp(join(tmpdir(), `${PREFIX}${process.pid}-`));
  // The database user must be able to enter.
  await chmod(folder, 0o755);
  process.env[FOLDER_VARIABLE] = folder;
  if (process.env.TEST_POSTGRES === 'docker' && !process.env.TEST_DATABASE_URL) {
    // A container lives as long as the process that asked for it, so it cannot wait for the first test.
    process.env.TEST_DATABASE_URL = await startContainer();
  }
}

/** Called once after a test run. */
export async function endTestRun() {
  const folder = process.env[FOLDER_VARIABLE];
  if (!folder) return;
  const server = await readServer(folder);
  if (container) await container.stop();
  else if (process.env.TEST_DATABASE_URL && server) await dropTemplate(server);
  else await stopEmbedded(folder);
  await rm(folder, { recursive: true, force: true });
}

/** The server of this run, started by whoever asks first. @returns {Promise<TestServer>} */
export async function testServer() {
  const folder = process.env[FOLDER_VARIABLE];
  if (!folder)
    throw new Error('A test with a database must run under jest.config.mjs, whose global set-up prepares the server.');
  for (;;) {
    const server = await readServer(folder);
    if (server) return server;
    const isFirst = await mkdir(join(folder, 'starting')).then(
      () => true,
      () => false,
    );
    if (isFirst) return startServer(folder);
    const failure = await readFile(join(folder, 'failed'), 'utf8').catch(() => '');
    if (failure) throw new Error(failure);
    await pause(50);
  }
}

/** @param {string} folder @returns {Promise<TestServer>} */
async function startServer(folder) {
  try {
    const adminUrl = process.env.TEST_DATABASE_URL ?? (await startEmbedded(folder));
    const server = {
      adminUrl,
      template: `frostmoot_template_${randomBytes(6).toString('hex')}`,
      ownerPassword: randomBytes(18).toString('base64url'),
      appPassword: randomBytes(18).toString('base64url'),
    };
    await makeTemplate(server);
    await writeFile(join(folder, 'server.new'), JSON.stringify(server), { mode: 0o600 });
    await rename(join(folder, 'server.new'), join(folder, 'server.json'));
    return server;
  } catch (error) {
    await writeFile(join(folder, 'failed'), String(error));
    throw error;
  }
}

/** @param {string} folder */
async function startEmbedded(folder) {
  const cluster = await openCluster({ folder, durable: false, exclusive: false });
  return cluster.superuserUrl('postgres');
}

/** @param {TestServer} server */
async function makeTemplate({ adminUrl, template, ownerPassword, appPassword }) {
  await withClient(adminUrl, async (client) => {
    await prepareRoles(client, { owner: ownerPassword, app: appPassword });
    await client.query(`CREATE DATABASE ${template} OWNER ${OWNER}`);
  });
  await migrate(onDatabase(addressFor(adminUrl, OWNER, ownerPassword), template));
  // Nobody may be connected to a template while it is copied.
  await withClient(adminUrl, (client) => client.query(`ALTER DATABASE ${template} ALLOW_CONNECTIONS false`));
}

/** A copy of the template. @returns {Promise<{ ownerUrl: string, appUrl: string, drop: () => Promise<void> }>} */
export async function copyTemplate() {
  const { adminUrl, template, ownerPassword, appPassword } = await testServer();
  const name = `frostmoot_test_${randomBytes(8).toString('hex')}`;
  await withClient(adminUrl, (client) => client.query(`CREATE DATABASE ${name} TEMPLATE ${template} OWNER ${OWNER}`));
  return {
    ownerUrl: onDatabase(addressFor(adminUrl, OWNER, ownerPassword), name),
    appUrl: onDatabase(addressFor(adminUrl, APP, appPassword), name),
    drop: async () => {
      await withClient(adminUrl, (client) => client.query(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`));
    },
  };
}

/** @param {TestServer} server */
async function dropTemplate({ adminUrl, template }) {
  await withClient(adminUrl, (client) => client.query(`DROP DATABASE IF EXISTS ${template} WITH (FORCE)`));
}

async function startContainer() {
  const { GenericContainer, Wait } = await import('testcontainers');
  const password = randomBytes(18).toString('base64url');
  const started = await new GenericContainer(IMAGE)
    .withEnvironment({ POSTGRES_PASSWORD: password })
    .withCommand(['postgres', '-c', 'fsync=off', '-c', 'synchronous_commit=off', '-c', 'full_page_writes=off'])
    .withExposedPorts(5432)
    // The image starts a first server for its own set-up and a second one that stays.
    .withWaitStrategy(Wait.forLogMessage(/database system is ready to accept connections/, 2))
    .start();
  container = started;
  return `postgresql://postgres:${password}@${started.getHost()}:${started.getMappedPort(5432)}/postgres`;
}

/** @param {string} folder @returns {Promise<TestServer | undefined>} */
async function readServer(folder) {
  const text = await readFile(join(folder, 'server.json'), 'utf8').catch(() => undefined);
  return text === undefined ? undefined : JSON.parse(text);
}

/** @param {string} url @param {string} database */
function onDatabase(url, database) {
  const address = new URL(url);
  address.pathname = `/${database}`;
  return address.href;
}

/** @param {string} folder */
async function stopEmbedded(folder) {
  const isThere = await readFile(join(folder, 'postgres/postmaster.pid')).then(
    () => true,
    () => false,
  );
  if (!isThere) return;
  const cluster = await openCluster({ folder, durable: false, exclusive: false });
  await cluster.stop();
}

/** Ends the servers of test runs that were killed before they could clean up. */
async function sweep() {
  for (const name of await readdir(tmpdir())) {
    const pid = Number(name.startsWith(PREFIX) ? name.slice(PREFIX.length).split('-')[0] : 0);
    if (!pid || isAlive(pid)) continue;
    const folder = join(tmpdir(), name);
    try {
      await stopEmbedded(folder);
      await rm(folder, { recursive: true, force: true });
    } catch {
      // Another user's folder: theirs to clean.
    }
  }
}
