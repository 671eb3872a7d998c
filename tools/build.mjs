#!/usr/bin/env node
// Makes everything that `npm start` runs: the database client, the packages and the API, the types of the API's answers for the web, and the web app.
// A step whose inputs have not changed since its last success is passed over.
import { createHash } from 'node:crypto';
import { access, mkdir, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { step } from './progress.mjs';
import { isMain, root, run, runCommand, sentence, SetupError } from './workspace.mjs';

/**
 * @typedef {object} BuildStep
 * @property {string} name
 * @property {string[]} inputs files and folders whose contents decide whether to build again
 * @property {string} output a file that exists after a success
 * @property {() => Promise<{ code: number, output: string }>} work
 */

/** Files that other programs write and the ones that only tests read are not inputs. */
const NOT_INPUT =
  /(^|[\\/])(node_modules|dist|dist-types|generated)([\\/]|$)|\.tsbuildinfo$|\.spec\.tsx?$|\.e2e\.ts$|schema\.d\.ts$/;
const LOCK = ['package-lock.json'];

/** @type {Record<'client' | 'api' | 'types' | 'web', BuildStep>} */
const STEPS = {
  client: {
    name: 'Generating the database client',
    inputs: ['prisma/schema.prisma', 'prisma.config.ts', ...LOCK],
    output: 'apps/api/src/generated/prisma/client.ts',
    work: async () => (await import('./prisma.mjs')).prisma(['generate'], { quiet: true }),
  },
  api: {
    name: 'Building the packages and the API',
    inputs: ['packages', 'apps/api', 'shared', 'prisma/schema.prisma', 'tsconfig.base.json', ...LOCK],
    output: 'apps/api/dist/main.js',
    work: async () => {
      // The compiler trusts its own notes, which may have outlived a deleted folder.
      const forced = (await exists('apps/api/dist/main.js')) ? [] : ['--force'];
      return node('typescript/bin/tsc', ['-b', 'packages/contract', 'apps/api', ...forced]);
    },
  },
  types: {
    name: 'Writing the types of the API for the web',
    inputs: ['packages/contract/openapi/openapi.json', ...LOCK],
    output: 'apps/web/src/lib/api/schema.d.ts',
    work: async () =>
      (await import('./api-types.mjs')).writeApiTypes(
        'packages/contract/openapi/openapi.json',
        'apps/web/src/lib/api/schema.d.ts',
      ),
  },
  web: {
    name: 'Building the web app',
    inputs: ['apps/web', 'packages', 'packages/contract/openapi/openapi.json', 'tsconfig.base.json', ...LOCK],
    output: 'apps/web/dist/index.html',
    work: () => node('vite/bin/vite.js', ['build', 'apps/web', '--logLevel', 'warn']),
  },
};

/** Builds what has changed; the API and the web app at the same time. @returns {Promise<number>} how many steps had to run */
export async function build() {
  const api = async () => (await runStep('client')) + (await runStep('api'));
  const web = async () => (await runStep('types')) + (await runStep('web'));
  const results = await Promise.allSettled([api(), web()]);
  const failures = results.flatMap((result) => (result.status === 'rejected' ? [result.reason] : []));
  if (failures.length > 0) throw new SetupError(failures.map(sentence).join('\n\n'));
  return results.reduce((sum, result) => sum + (result.status === 'fulfilled' ? result.value : 0), 0);
}

/** Only what the tests of the code itself need: the client and the types, no bundles. */
export async function generate() {
  return (await runStep('client')) + (await runStep('types'));
}

/** Whether the last build is that of the files as they are now. */
export async function isBuilt() {
  const states = await Promise.all(Object.keys(STEPS).map((key) => stampOf(/** @type {keyof typeof STEPS} */ (key))));
  return states.every(({ isFresh }) => isFresh);
}

/** @param {keyof typeof STEPS} key */
async function runStep(key) {
  const { name, work } = STEPS[key];
  const { isFresh, stamp, file } = await stampOf(key);
  if (isFresh) return 0;
  await rm(file, { force: true });
  await step(name, async () => {
    const { code, output } = await work();
    if (code !== 0) throw new SetupError(`${name} failed.\n${output.trimEnd()}`);
  });
  await mkdir(join(root, '.stamps'), { recursive: true });
  await writeFile(file, stamp);
  return 1;
}

/** @param {keyof typeof STEPS} key */
async function stampOf(key) {
  const { inputs, output } = STEPS[key];
  const file = join(root, '.stamps', key);
  const hash = createHash('sha256');
  for (const input of inputs) await addTo(hash, input);
  const stamp = hash.digest('hex');
  const last = await readFile(file, 'utf8').catch(() => '');
  return { isFresh: last === stamp && (await exists(output)), stamp, file };
}

/** @param {import('node:crypto').Hash} hash @param {string} path relative to the root */
async function addTo(hash, path) {
  if (NOT_INPUT.test(path)) return;
  const entries = await readdir(join(root, path), { withFileTypes: true }).catch(() => undefined);
  if (entries) {
    for (const { name } of entries.sort((a, b) => (a.name < b.name ? -1 : 1))) await addTo(hash, `${path}/${name}`);
    return;
  }
  const content = await readFile(join(root, path)).catch(() => undefined);
  hash.update(`${path}\0${content?.length ?? 'missing'}\0`);
  if (content) hash.update(content);
}

/** @param {string} path */
function exists(path) {
  return access(join(root, path)).then(
    () => true,
    () => false,
  );
}

/** @param {string} script a path inside node_modules @param {string[]} args */
function node(script, args) {
  return run(process.execPath, [join(root, 'node_modules', script), ...args], {
    env: { ...process.env, NO_COLOR: '1' },
  });
}

if (isMain(import.meta.url)) {
  await runCommand(async () => {
    if ((await build()) === 0) console.log('  Everything is built already.');
  });
}
