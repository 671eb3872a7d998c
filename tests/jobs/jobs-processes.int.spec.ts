import { afterAll, afterEach, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import type { JobView } from '../../apps/api/src/platform/jobs/jobs.service.ts';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { until } from '../builders/until.ts';
import { actorOf, register, start, WorkerProcess } from './counting-jobs.ts';

/** Far longer than the test, so that only a process that it ends loses a job. */
const LEASE_SECONDS = 600;

// The API of the test only starts jobs and shows them; processes of their own do them.
describe('jobs done by other processes', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let workers: WorkerProcess[] = [];
  beforeAll(async () => {
    api = await startApi({ jobsAtOnce: 0 });
    cooperative = await buildCooperative(api);
    register(api, { kind: 'count', run: () => Promise.reject(new Error('not here')) });
  });
  afterEach(async () => {
    await Promise.all(workers.map((worker) => worker.end('SIGKILL')));
    workers = [];
  });
  afterAll(() => api.stop());

  const begin = async (count: number): Promise<void> => {
    const begun = Array.from({ length: count }, () => new WorkerProcess(api.database.appUrl, LEASE_SECONDS));
    workers.push(...begun);
    await Promise.all(begun.map((worker) => worker.says('ready')));
  };
  const count = (to: number, ms: number) =>
    start(api, actorOf(cooperative, 'Birch'), { subjectId: randomUUID(), input: { to, ms } });
  const read = (id: string) => cooperative.coordinator.ok<JobView>('GET', `${cooperative.path}/jobs/${id}`);
  const whoRuns = async (id: string): Promise<WorkerProcess> => {
    const runs = (worker: WorkerProcess) => worker.child.signalCode === null && worker.lines.includes(`begins ${id}`);
    await until(() => workers.some(runs));
    return workers.find(runs) as WorkerProcess;
  };
  /** As when the lease of a dead process has run out; those that live keep theirs, however slow the machine is. */
  const runOut = (id: string) =>
    withClient(api.database.ownerUrl, async (client) => {
      await client.query(`UPDATE job SET lease_until = now() - interval '1 second' WHERE id = $1`, [id]);
      await client.query(`NOTIFY frostmoot_jobs`);
    });
  const crashesOf = (id: string) =>
    withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ crashes: number }>('SELECT crashes FROM job WHERE id = $1', [id]);
      return rows[0]?.crashes;
    });

  it('are each done once by two of them, in any order', async () => {
    await begin(2);
    // As many long ones as both do at once keep both busy, until the others are in line.
    const long = await Promise.all(Array.from({ length: 4 }, () => count(100_000, 20)));
    for (const { id } of long) await until(async () => (await read(id)).state === 'running');
    const jobs = await Promise.all(Array.from({ length: 12 }, () => count(3, 20)));
    for (const { id } of long) await cooperative.coordinator.ok('POST', `${cooperative.path}/jobs/${id}/stop`);
    for (const { id } of jobs) await until(async () => (await read(id)).state === 'done');
    const begun = workers.map(({ lines }) => lines.filter((line) => line.startsWith('begins')));
    expect(begun.flat().sort()).toEqual([...long, ...jobs].map(({ id }) => `begins ${id}`).sort());
    for (const lines of begun) expect(lines.length).toBeGreaterThanOrEqual(2);
  });

  it('stop in the process that does them, whichever was asked', async () => {
    await begin(2);
    const { id } = await count(10_000, 50);
    await until(async () => (await read(id)).best !== null);
    await cooperative.coordinator.ok('POST', `${cooperative.path}/jobs/${id}/stop`);
    await until(async () => (await read(id)).state === 'stopped');
    const { answer } = await read(id);
    expect((answer as { n: number }).n).toBeGreaterThan(0);
  });

  it('are run again when their process is killed, and given up the second time', async () => {
    await begin(2);
    const lucky = await count(30, 50);
    await (await whoRuns(lucky.id)).end('SIGKILL');
    await runOut(lucky.id);
    await until(async () => (await read(lucky.id)).state === 'done');
    expect([(await read(lucky.id)).answer, await crashesOf(lucky.id)]).toEqual([{ n: 30 }, 1]);

    const unlucky = await count(100_000, 50);
    await (await whoRuns(unlucky.id)).end('SIGKILL');
    await runOut(unlucky.id);
    await begin(1);
    await (await whoRuns(unlucky.id)).end('SIGKILL');
    await runOut(unlucky.id);
    await begin(1);
    await until(async () => (await read(unlucky.id)).state === 'failed');
    expect(await read(unlucky.id)).toMatchObject({ problem: { code: 'interrupted' }, answer: null });
  });
});
