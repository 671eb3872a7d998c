import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { DomainError } from '@frostmoot/calc';
import { randomUUID } from 'node:crypto';
import { setTimeout as delay } from 'node:timers/promises';
import type { JobView } from '../../apps/api/src/platform/jobs/jobs.service.ts';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api, type Client } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { until } from '../builders/until.ts';
import { actorOf, register, start } from './counting-jobs.ts';

describe('jobs', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let birch: Client;
  let running = 0;
  let mostAtOnce = 0;
  let tries = 0;
  /** what jobs wait for before they end */
  const opened = new Set<string>();
  beforeAll(async () => {
    api = await startApi({ jobLeaseSeconds: 20 });
    cooperative = await buildCooperative(api);
    birch = cooperative.household('Birch').client;
    register(api, {
      kind: 'steps',
      run: async ({ input }, report, signal) => {
        running += 1;
        mostAtOnce = Math.max(mostAtOnce, running);
        let n = 0;
        const { to, until: gate } = input as { to: number; until?: string };
        for (; n < to && !signal.aborted; n += 1) {
          report({ stage: 1 + (n % 3), of: 3, code: 'stepping', best: { n } });
          if (gate === undefined) await delay(100);
        }
        if (gate !== undefined) await until(() => opened.has(gate) || signal.aborted);
        running -= 1;
        return { n };
      },
    });
    register(api, {
      kind: 'refused',
      run: () => Promise.reject(new DomainError('no-offer', 'Nobody sells it', { params: { ingredient: 'Salt' } })),
    });
    register(api, { kind: 'broken', run: () => Promise.reject(new Error('a secret of the inside')) });
    register(api, {
      kind: 'second-try',
      triesAgainAfter: [0, 0],
      run: async () => {
        tries += 1;
        if (tries < 3) throw new Error('not yet');
        return 'sent';
      },
    });
  });
  afterAll(() => api.stop());

  const read = (id: string, client = birch) => client.ok<JobView>('GET', `${cooperative.path}/jobs/${id}`);
  const ended = async (id: string): Promise<JobView> => {
    await until(async () => (await read(id)).endedAt !== null);
    return read(id);
  };

  it('tell their progress and their answer', async () => {
    const { id, state } = await start(api, actorOf(cooperative, 'Birch'), {
      kind: 'steps',
      input: { to: 12, until: 'the half was read' },
    });
    expect(state).toBe('queued');
    await until(async () => (await read(id)).code !== null);
    const half = await read(id);
    expect(half).toMatchObject({ state: 'running', stages: 3, code: 'stepping', answer: null, mayStop: true });
    expect(half.createdBy?.name).toBe((await birch.ok<{ displayName: string }>('GET', '/me')).displayName);
    opened.add('the half was read');
    expect(await ended(id)).toMatchObject({ state: 'done', answer: { n: 12 }, best: { n: 11 }, mayStop: false });
    const { rows } = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT count(*)::int AS told FROM outbox WHERE topic = $1 AND subject_id = $2', ['jobs', id]),
    );
    // At its start and at its end, and once for the twelve steps that were reported in one moment.
    expect(rows[0].told).toBe(3);
  });

  it('stop when asked and keep what they have', async () => {
    const { id } = await start(api, actorOf(cooperative, 'Birch'), { kind: 'steps', input: { to: 10_000 } });
    await until(async () => (await read(id)).best !== null);
    expect(await birch.ok('POST', `${cooperative.path}/jobs/${id}/stop`)).toMatchObject({ stopAsked: true });
    const job = await ended(id);
    expect(job).toMatchObject({ state: 'stopped', problem: null });
    expect((job.answer as { n: number }).n).toBeGreaterThan(0);
    // Asked again, it stays as it ended.
    expect(await birch.ok('POST', `${cooperative.path}/jobs/${id}/stop`)).toMatchObject({
      state: 'stopped',
      answer: job.answer,
    });
  });

  it('are found again by what they are about', async () => {
    const subjectId = randomUUID();
    const latest = `${cooperative.path}/jobs?kind=steps&subjectId=${subjectId}`;
    expect(await birch.ok('GET', latest)).toEqual({ job: null });
    const { id } = await start(api, actorOf(cooperative, 'Birch'), { kind: 'steps', subjectId, input: { to: 1 } });
    await ended(id);
    expect(await birch.ok('GET', latest)).toMatchObject({ job: { id, state: 'done' } });
  });

  it('run one at a time for a kind and a subject, however many are started at once', async () => {
    const subjectId = randomUUID();
    const order = { kind: 'steps', subjectId, input: { to: 5 } };
    const started = await Promise.all(
      ['Alder', 'Birch', 'Cedar'].map((name) => start(api, actorOf(cooperative, name), order)),
    );
    expect(new Set(started.map(({ id }) => id)).size).toBe(1);
    await until(async () => (await read(started[0]?.id ?? '', cooperative.coordinator)).state === 'done');
    expect((await start(api, actorOf(cooperative, 'Birch'), order)).id).not.toBe(started[0]?.id);
  });

  it('run at most so many at once in a process', async () => {
    const many = await Promise.all(
      Array.from({ length: 6 }, () =>
        start(api, actorOf(cooperative, 'Birch'), { kind: 'steps', subjectId: randomUUID(), input: { to: 2 } }),
      ),
    );
    for (const { id } of many) await ended(id);
    expect([mostAtOnce, api.config.jobsAtOnce]).toEqual([2, 2]);
  });

  it('say by which code they were refused, and nothing of the inside', async () => {
    const refused = await start(api, actorOf(cooperative, 'Birch'), { kind: 'refused' });
    expect(await ended(refused.id)).toMatchObject({
      state: 'failed',
      problem: { code: 'no-offer', params: { ingredient: 'Salt' } },
    });
    const broken = await start(api, actorOf(cooperative, 'Birch'), { kind: 'broken' });
    const job = await ended(broken.id);
    expect(job).toMatchObject({ state: 'failed', problem: { code: 'internal' } });
    expect(JSON.stringify(job)).not.toContain('secret');
  });

  it('are tried again where their kind says so', async () => {
    const { id } = await start(api, actorOf(cooperative, 'Birch'), { kind: 'second-try' });
    expect(await ended(id)).toMatchObject({ state: 'done', answer: 'sent' });
    expect(tries).toBe(3);
  });

  it('are seen by the household that started them and by coordinators', async () => {
    const { id } = await start(api, actorOf(cooperative, 'Birch'), { kind: 'steps', input: { to: 3 } });
    const cedar = cooperative.household('Cedar').client;
    for (const [method, path] of [
      ['GET', ''],
      ['POST', '/stop'],
    ] as const) {
      expect((await cedar.call(method, `${cooperative.path}/jobs/${id}${path}`)).status).toBe(404);
    }
    expect((await read(id, cooperative.coordinator)).id).toBe(id);
    await ended(id);
  });

  it('go back into the queue when their process stops in order', async () => {
    const { id } = await start(api, actorOf(cooperative, 'Birch'), { kind: 'steps', input: { to: 10_000 } });
    await until(async () => (await read(id)).state === 'running');
    const { ownerUrl } = api.database;
    await api.app.close();
    const { rows } = await withClient(ownerUrl, (client) =>
      client.query('SELECT state, worker, crashes FROM job WHERE id = $1', [id]),
    );
    expect(rows).toEqual([{ state: 'queued', worker: null, crashes: 0 }]);
  });
});
