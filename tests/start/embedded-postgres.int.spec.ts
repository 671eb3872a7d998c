import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { spawn } from 'node:child_process';
import { chmod, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { withClient } from '../../tools/database.mjs';
import { openCluster } from '../../tools/postgres.mjs';
import { isAlive } from '../../tools/processes.mjs';

describe('the embedded PostgreSQL', () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'frostmoot-embedded-'));
    await chmod(folder, 0o755);
  });
  afterAll(() => rm(folder, { recursive: true }));

  const pidFile = () => join(folder, 'postgres/postmaster.pid');
  const serverPid = async () => Number((await readFile(pidFile(), 'utf8')).split('\n')[0]);
  const open = () => openCluster({ folder, durable: false });

  it('keeps its data and its port from one start to the next', async () => {
    const first = await open();
    await withClient(first.superuserUrl('postgres'), (client) => client.query('CREATE TABLE kept AS SELECT 7 AS n'));
    await first.stop();
    await expect(stat(pidFile())).rejects.toThrow('ENOENT');
    const second = await open();
    expect(second.port).toBe(first.port);
    const { rows } = await withClient(second.superuserUrl('postgres'), (client) => client.query('SELECT n FROM kept'));
    expect(rows).toEqual([{ n: 7 }]);
    await second.stop();
  });

  it('refuses a second start on the same data, and leaves the first alone', async () => {
    const first = await open();
    await expect(open()).rejects.toThrow(/already running/);
    await withClient(first.superuserUrl('postgres'), (client) => client.query('SELECT 1'));
    await first.stop();
  });

  it('starts again after the server was killed', async () => {
    const first = await open();
    const pid = await serverPid();
    process.kill(pid, 'SIGKILL');
    while (isAlive(pid)) await new Promise((resolve) => setTimeout(resolve, 10));
    const second = await open();
    expect(second.reused).toBe(false);
    await second.stop();
    await first.stop();
  });

  it('takes over a server whose start was killed', async () => {
    const script = `
      const { openCluster } = await import(process.argv[1]);
      await openCluster({ folder: process.argv[2], durable: false });
      process.kill(process.pid, 'SIGKILL');`;
    const tool = new URL('../../tools/postgres.mjs', import.meta.url).href;
    const child = spawn(process.execPath, ['--input-type=module', '--eval', script, tool, folder]);
    const signal = await new Promise((resolve) => child.once('exit', (_code, killed) => resolve(killed)));
    expect(signal).toBe('SIGKILL');
    const pid = await serverPid();
    const next = await open();
    expect(next.reused).toBe(true);
    expect(await serverPid()).toBe(pid);
    await next.stop();
  });

  it('does not touch another program that has got the number of a server from before a restart', async () => {
    const other = spawn(process.execPath, ['--eval', 'setTimeout(() => {}, 60_000)']);
    await writeFile(pidFile(), `${other.pid}\n${folder}/postgres\n1\n1\n\n127.0.0.1\n1 1\nready\n`);
    const cluster = await open();
    expect(cluster.reused).toBe(false);
    expect(isAlive(other.pid ?? 0)).toBe(true);
    other.kill();
    await cluster.stop();
  });
});
