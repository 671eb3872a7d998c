// Questions about other processes. Only Node's own modules: `npm start` asks before anything is installed.
import { readFile } from 'node:fs/promises';
import { run } from './workspace.mjs';

/** @param {number} pid */
export function isAlive(pid) {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return /** @type {NodeJS.ErrnoException} */ (error).code === 'EPERM';
  }
}

/** The command line of a running process, empty when nobody says. @param {number} pid */
export async function commandOf(pid) {
  if (process.platform === 'linux') {
    return (await readFile(`/proc/${pid}/cmdline`, 'utf8').catch(() => '')).replaceAll('\0', ' ');
  }
  const windows = `(Get-CimInstance Win32_Process -Filter 'ProcessId=${pid}').CommandLine`;
  const [program, args] =
    process.platform === 'win32'
      ? ['powershell', ['-NoProfile', '-Command', windows]]
      : ['ps', ['-p', String(pid), '-o', 'command=']];
  return (await run(/** @type {string} */ (program), /** @type {string[]} */ (args)).catch(() => ({ output: '' })))
    .output;
}

/**
 * Calls `ended` once when npm runs us and has ended: killed with -9, it cannot tell us. npm starts scripts through a shell, which may stay between.
 * @param {() => void} ended
 */
export async function watchNpm(ended) {
  if (process.env.npm_lifecycle_event === undefined || process.platform === 'win32') return;
  const parent = process.ppid;
  const isShell = /^\S*sh\b.* -c /.test(await commandOf(parent));
  const npm = isShell ? await parentOf(parent) : parent;
  const watch = setInterval(async () => {
    // A killed process that nobody has waited for still counts as alive, but its children have another parent by then.
    const above = !isShell ? process.ppid : process.platform === 'linux' ? await parentOf(parent) : npm;
    if (above === npm && isAlive(npm)) return;
    clearInterval(watch);
    ended();
  }, 500);
  watch.unref();
}

/** @param {number} pid */
async function parentOf(pid) {
  if (process.platform !== 'linux') return Number((await run('ps', ['-o', 'ppid=', '-p', String(pid)])).output);
  const status = await readFile(`/proc/${pid}/stat`, 'utf8').catch(() => '');
  // The name in the second field may hold spaces and brackets, so the fields are counted after its last bracket.
  return Number(status.slice(status.lastIndexOf(')') + 2).split(' ')[1]);
}
