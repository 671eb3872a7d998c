// Where the embedded database and its passwords live, and under which account the server runs. PostgreSQL refuses to run as root, so root hands it to
// the user `postgres`, who must be able to enter every folder above the data.
import { createHash, randomBytes } from 'node:crypto';
import { chmod, chown, mkdir, readFile, realpath, rename, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { root, run, SetupError } from './workspace.mjs';

/** @typedef {{ uid?: number, gid?: number }} Account empty when the server runs as whoever started us */
/** @typedef {{ folder: string, account: Account, movedFrom?: string }} DataPlace */

/** The folder as asked for, before anyone looks whether the database user can enter it. */
export function wantedFolder() {
  return resolve(root, process.env.FROSTMOOT_DATA || '.data');
}

/** @param {string} [wanted] @returns {Promise<DataPlace>} */
export async function dataPlace(wanted = wantedFolder()) {
  if (process.getuid?.() !== 0) {
    await mkdir(wanted, { recursive: true });
    return { folder: wanted, account: {} };
  }
  const account = (await ownerOfCluster(wanted)) ?? (await postgresUser());
  if (await canEnter(wanted, account)) {
    await mkdir(wanted, { recursive: true });
    return { folder: wanted, account };
  }
  const name = `frostmoot-${createHash('sha256').update(wanted).digest('hex').slice(0, 10)}`;
  for (const parent of ['/var/lib', tmpdir()]) {
    const folder = join(parent, name);
    if (!(await canEnter(folder, account))) continue;
    await mkdir(folder, { recursive: true, mode: 0o755 });
    await chmod(folder, 0o755);
    return { folder, account, movedFrom: wanted };
  }
  throw new SetupError(`The user postgres cannot enter ${wanted}; set FROSTMOOT_DATA to a folder that it can enter.`);
}

/** A cluster that is already there keeps its owner, so that root can go on with what another user began. @param {string} folder */
async function ownerOfCluster(folder) {
  const { uid, gid } = await stat(join(folder, 'postgres')).catch(() => ({ uid: 0, gid: 0 }));
  return uid === 0 ? undefined : { uid, gid };
}

/** @returns {Promise<Account>} */
async function postgresUser() {
  const found = await lookUp();
  if (found) return found;
  await run('groupadd', ['--system', 'postgres']).catch(() => undefined);
  await run('useradd', ['--system', '--no-create-home', '--gid', 'postgres', 'postgres']).catch(() => undefined);
  const made = await lookUp();
  if (made) return made;
  throw new SetupError(
    'PostgreSQL does not run as root, and the user `postgres` could not be made: make one, or start as an ordinary user.',
  );
}

async function lookUp() {
  const passwd = await readFile('/etc/passwd', 'utf8').catch(() => '');
  const line = passwd.split('\n').find((entry) => entry.startsWith('postgres:'));
  if (line) return { uid: Number(line.split(':')[2]), gid: Number(line.split(':')[3]) };
  // Users from a directory service are not in the file.
  const [uid, gid] = await Promise.all(
    ['-u', '-g'].map((flag) => run('id', [flag, 'postgres']).catch(() => ({ code: 1, output: '' }))),
  );
  return uid?.code === 0 && gid?.code === 0 ? { uid: Number(uid.output), gid: Number(gid.output) } : undefined;
}

/** Whether every folder on the way to `path` (as far as it exists) lets the account through. @param {string} path @param {Account} account */
export async function canEnter(path, { uid, gid }) {
  if (uid === undefined) return true;
  let folder = path;
  for (;;) {
    const real = await realpath(folder).catch(() => undefined);
    if (real === undefined) {
      if (dirname(folder) === folder) return true;
      folder = dirname(folder);
      continue;
    }
    const { mode, uid: owner, gid: group } = await stat(real);
    const bit = owner === uid ? 0o100 : group === gid ? 0o010 : 0o001;
    if (!(mode & bit)) return false;
    if (dirname(real) === real) return true;
    folder = dirname(real);
  }
}

/** @param {string} path @param {Account} account */
export async function giveTo(path, { uid, gid }) {
  if (uid !== undefined && gid !== undefined) await chown(path, uid, gid);
}

/**
 * A random password that stays the same from start to start, in a file that only its owner may read.
 * @param {string} folder
 * @param {string} name what the password is for
 */
export async function keptPassword(folder, name) {
  const file = join(folder, 'passwords.json');
  const text = await readFile(file, 'utf8').catch(() => '{}');
  /** @type {Record<string, string>} */
  const passwords = JSON.parse(text);
  const known = passwords[name];
  if (known) return known;
  const password = randomBytes(24).toString('base64url');
  await mkdir(folder, { recursive: true });
  // Written beside and renamed: a crash never leaves half a file.
  await writeFile(`${file}.new`, JSON.stringify({ ...passwords, [name]: password }, null, 2), { mode: 0o600 });
  await rename(`${file}.new`, file);
  return password;
}
