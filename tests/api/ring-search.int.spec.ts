import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { job, latestJob } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { until } from '../builders/until.ts';
import { startApi, type Api } from './harness.ts';

type Job = z.infer<typeof job>;

const NOW = new Date('2026-11-23T10:00:00Z');
let api: Api;
beforeAll(async () => {
  api = await startApi({ now: NOW });
});
afterAll(() => api.stop());

/** Birch would like Cedar's pie and Cedar Birch's stew. */
async function two(swapUntil: string) {
  const cooperative = await buildCooperative(api);
  const round = await buildSharedRound(api, cooperative, {
    dishes: ['Stew', 'Pie'].map((name) => ({ name, containers: [2, 2, 2] })),
    participants: cooperative.households.map(({ name: household }) => ({ household, weight: '2' })),
    swapUntil,
  });
  const swappers = new Swappers(api, cooperative);
  const box = (name: string, dish: string) => round.of(name).find((one) => one.dish === dish)!;
  const offer = async () => {
    await swappers.offer('Birch', box('Birch', 'Stew').id);
    await swappers.wish('Birch', box('Cedar', 'Pie').recipeId);
    await swappers.offer('Cedar', box('Cedar', 'Pie').id);
    await swappers.wish('Cedar', box('Birch', 'Stew').recipeId);
  };
  const { client } = cooperative.household('Birch');
  const latest = async (kind: string, subjectId = '') => {
    const query = subjectId ? `&subjectId=${subjectId}` : '';
    return (await client.ok<z.infer<typeof latestJob>>('GET', `${cooperative.path}/jobs?kind=${kind}${query}`)).job;
  };
  const ended = async (kind: string, subjectId?: string): Promise<Job> => {
    await until(async () => (await latest(kind, subjectId))?.endedAt != null);
    return (await latest(kind, subjectId)) as Job;
  };
  return { cooperative, round, swappers, offer, client, latest, ended };
}

/** The searches of rounds in the queue, with the hour in which each is due by the API's clock: the queue counts the wait by its own, from when it was told. */
function planned(cooperativeId: string): Promise<string[][]> {
  return withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ wait_ms: string; subject_id: string }>(
      `SELECT extract(epoch FROM due_at - created_at) * 1000 AS wait_ms, subject_id FROM job
       WHERE cooperative_id = $1 AND kind = 'find-rings-of-round'`,
      [cooperativeId],
    );
    return rows.map((row) => [
      row.subject_id,
      new Date(NOW.getTime() + Number(row.wait_ms)).toISOString().slice(0, 13),
    ]);
  });
}

describe('looking for rings', () => {
  it('is a job that everybody may follow, and one at a time', async () => {
    const { cooperative, swappers, offer, client, ended } = await two('2026-12-30');
    await offer();
    const path = `${cooperative.path}/swap-rings`;
    const [first, second] = await Promise.all([client.call<Job>('POST', path), client.call<Job>('POST', path)]);
    expect([first.status, first.body.kind]).toEqual([202, 'find-rings']);
    expect(second.status).toBe(202);
    expect(await ended('find-rings')).toMatchObject({
      state: 'done',
      stage: 3,
      stages: 3,
      best: { rings: expect.any(Number) },
    });
    for (const name of ['Birch', 'Cedar']) expect((await swappers.board(name)).rings).toHaveLength(1);
    expect((await swappers.board('Alder')).rings).toEqual([]);
    // Once more finds nothing new: both containers wait.
    await client.ok('POST', path);
    expect((await ended('find-rings')).answer).toEqual({ rings: 0 });
    expect((await swappers.board('Birch')).rings).toHaveLength(1);
  });

  it('is put into the queue for the evening before the last swap day', async () => {
    const { cooperative, round, offer } = await two('2026-12-30');
    await offer();
    // 18:00 in Madrid in winter.
    expect(await planned(cooperative.id)).toEqual([[round.id, '2026-12-29T17']]);
  });

  it('begins by itself on the last swap day, with each offer and each wish', async () => {
    const { round, swappers, offer, ended } = await two('2026-11-23');
    await offer();
    expect((await ended('find-rings-of-round', round.id)).state).toBe('done');
    await until(async () => (await swappers.board('Cedar')).rings.length > 0);
    expect((await swappers.board('Cedar')).rings).toHaveLength(1);
    // Until the end of that day in Madrid.
    expect((await swappers.board('Cedar')).rings[0]?.openUntil).toBe('2026-11-23T23:00:00.000Z');
  });

  it('begins when somebody opens the board and nobody had put it into the queue', async () => {
    const { cooperative, round, swappers, offer } = await two('2026-12-30');
    await offer();
    await withClient(api.database.ownerUrl, async (client) => {
      await client.query(`DELETE FROM job WHERE cooperative_id = $1`, [cooperative.id]);
    });
    await swappers.board('Alder');
    // Opened long before: it waits for the evening before the last day, and is not begun twice.
    await swappers.board('Birch');
    await until(async () => (await planned(cooperative.id)).length > 0);
    expect(await planned(cooperative.id)).toEqual([[round.id, '2026-12-29T17']]);
  });
});
