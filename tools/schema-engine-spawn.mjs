// Loaded into the Prisma CLI before its own code: the CLI starts the schema engine as a program, and ours is a Node script. Windows cannot start a
// script as a program, and neither can a file system that is mounted without the right to execute, so Node itself is started with the script.
import childProcess from 'node:child_process';

const engine = process.env.PRISMA_SCHEMA_ENGINE_BINARY;
const spawn = childProcess.spawn;

childProcess.spawn = /** @type {typeof spawn} */ (
  /** @param {string} file @param {any} args @param {any} options */
  (file, args, options) => {
    if (file !== engine || !Array.isArray(args)) return spawn(file, args, options);
    const env = { ...(options?.env ?? process.env) };
    delete env.NODE_OPTIONS;
    return spawn(process.execPath, [file, ...args], { ...options, env });
  }
);
