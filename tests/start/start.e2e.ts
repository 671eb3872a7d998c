import { afterAll, afterEach, beforeAll, describe, expect, it } from '@jest/globals';
import { spawn, type ChildProcess } from 'node:child_process';
import { access, chmod, mkdtemp, readFile, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from '../../tools/postgres.mjs';
import { isAlive } from '../../tools/processes.mjs';
import { root } from '../../tools/workspace.mjs';

interface Started {
  child: ChildProcess;
  output: () => string;
  ended: Promise<number | null>;
}

describe('npm start', () => {
  let folder: string;
  let port: number;
  const all: Started[] = [];
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'frostmoot-start-'));
    await chmod(folder, 0o755);
    port = await freePort(0);
  });
  // What a test that failed left running must not stand in the way of the next.
  afterEach(async () => {
    for (const { child, ended } of all.splice(0)) {
      if (child.exitCode === null && child.signalCode === null) child.kill('SIGTERM');
      await ended;
    }
  });
  afterAll(() => rm(folder, { recursive: true }));

  const start = (settings: Record<string, string> = {}): Started => {
    const { DATABASE_URL: _given, NODE_OPTIONS: _options, ...env } = process.env;
    const child = spawn(process.execPath, ['tools/start.mjs'], {
      cwd: root,
      env: { ...env, FROSTMOOT_DATA: folder, PORT: String(port), ...settings },
    });
    let text = '';
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (chunk) => (text += String(chunk)));
    const started = {
      child,
      output: () => text,
      ended: new Promise<number | null>((resolve) => child.once('close', resolve)),
    };
    all.push(started);
    return started;
  };
  const says = async ({ output, child }: Started, words: RegExp): Promise<string> => {
    while (!words.test(output())) {
      if (child.exitCode !== null) throw new Error(`The start ended with ${child.exitCode}:\n${output()}`);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    return output();
  };
  const answer = async (path: string) => (await fetch(`http://localhost:${port}${path}`)).status;
  const pidFile = () => join(folder, 'postgres/postmaster.pid');
  const databasePid = async () => Number((await readFile(pidFile(), 'utf8')).split('\n')[0]);
  // PostgreSQL removes the file at its very end; the process itself may be there a moment longer.
  const isDatabaseStopped = () =>
    access(pidFile()).then(
      () => false,
      () => true,
    );

  it('makes the database and the demo on the first start, answers, says what to do, and stops on SIGTERM', async () => {
    const first = start();
    const text = await says(first, /Ctrl-C stops everything/);
    expect(text).toContain(`http://localhost:${port}`);
    for (const title of ['Sign in as', 'To buy for', 'Who pays what', 'Who gets what', 'Payments due'])
      expect(text).toContain(title);
    expect([await answer('/'), await answer('/api/health/ready'), await answer('/api/health/live')]).toEqual([
      200, 200, 200,
    ]);
    first.child.kill('SIGTERM');
    expect(await first.ended).toBe(0);
    expect(first.output()).toContain('Stopped.');
    expect(await isDatabaseStopped()).toBe(true);
    await expect(answer('/')).rejects.toThrow();
  });

  it('makes nothing anew the second time, and again after kill -9 although the database server outlived it', async () => {
    const second = start();
    const text = await says(second, /Ready after/);
    // How long that takes is the machine's affair; what takes long is what a second start must not do.
    expect(text).toContain('Packages and build are up to date.');
    expect(text).toMatch(/Migrating: up to date/);
    expect(text).not.toMatch(/Installing|Filling/);
    const database = await databasePid();
    second.child.kill('SIGKILL');
    await second.ended;
    expect(isAlive(database)).toBe(true);

    const third = start();
    expect(await says(third, /Ctrl-C stops everything/)).toContain('taken over');
    expect(await answer('/api/health/ready')).toBe(200);
    third.child.kill('SIGINT');
    expect(await third.ended).toBe(0);
    expect(await isDatabaseStopped()).toBe(true);
  });

  it('says in one sentence what stands in its way, and ends with 1', async () => {
    const other = createServer().listen(port);
    const refused = [
      [start(), `Port ${port} is taken by another program; stop it, or set PORT to another number.`],
      [start({ PORT: 'freezer' }), 'PORT must be a whole number from 1 to 65535, not "freezer".'],
    ] as const;
    for (const [started, words] of refused) {
      expect(await started.ended).toBe(1);
      expect(started.output().trim()).toBe(words);
    }
    await new Promise((resolve) => other.close(resolve));

    const unreachable = start({ DATABASE_URL: 'postgresql://owner@127.0.0.1:1/frostmoot' });
    expect(await unreachable.ended).toBe(1);
    expect(unreachable.output().trim().split('\n').at(-1)).toBe(
      'The database at 127.0.0.1:1 cannot be reached (DATABASE_URL): connect ECONNREFUSED 127.0.0.1:1.',
    );
  });
});
