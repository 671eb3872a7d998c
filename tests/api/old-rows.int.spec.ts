import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { topics } from '@frostmoot/contract';
import { OldRows } from '../../apps/api/src/platform/db/old-rows.ts';
import { UnitOfWork } from '../../apps/api/src/platform/db/unit-of-work.ts';
import { OutboxRepository } from '../../apps/api/src/platform/events/outbox.repository.ts';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { startApi, type Api } from './harness.ts';

describe('rows that are no use after a while', () => {
  let api: Api;
  let places: BuiltCooperative[];
  beforeAll(async () => {
    api = await startApi();
    places = [await buildCooperative(api), await buildCooperative(api)];
  });
  afterAll(() => api.stop());

  it('are forgotten in every cooperative: answers kept for repeated requests after thirty days, and not before', async () => {
    for (const { coordinator, path } of places) {
      for (const name of ['Elm', 'Fir', 'Gorse'])
        await coordinator.ok('POST', `${path}/households`, { name }, { key: `key-of-${name}` });
    }
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `UPDATE idempotency_key SET created_at = now() - CASE key WHEN 'key-of-Elm' THEN interval '31 days' ELSE interval '29 days' END
         WHERE key IN ('key-of-Elm', 'key-of-Fir')`,
      ),
    );
    expect(await api.app.get(OldRows).forget()).toEqual({ idempotency_key: 2, job: 0, outbox: 0 });
    expect(await api.app.get(OldRows).forget()).toEqual({ idempotency_key: 0, job: 0, outbox: 0 });
    const kept = await withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ key: string }>(
        `SELECT key FROM idempotency_key WHERE key LIKE 'key-of-%' ORDER BY key`,
      );
      return rows.map(({ key }) => key);
    });
    expect(kept).toEqual(['key-of-Fir', 'key-of-Fir', 'key-of-Gorse', 'key-of-Gorse']);
    // What is kept still answers the same; what is forgotten is a new request, which finds the name taken.
    const [{ coordinator, path } = { coordinator: api.client(), path: '' }] = places;
    const again = (name: string) => coordinator.call('POST', `${path}/households`, { name }, { key: `key-of-${name}` });
    expect([(await again('Fir')).status, (await again('Elm')).status]).toEqual([201, 409]);
  });

  it('are forgotten of jobs thirty days after their end, and of open ones never', async () => {
    const ids = await withClient(api.database.ownerUrl, async (client) => {
      const add = (state: string, days: number | null) =>
        client.query(
          `INSERT INTO job (cooperative_id, id, kind, subject_id, input, actor, created_by, state, created_at, due_at, ended_at)
           SELECT id, gen_random_uuid(), 'nobody-does-it', gen_random_uuid(), '{}', '{}', gen_random_uuid(), $1, now() - interval '90 days',
             now() - interval '90 days', now() - make_interval(days => $2) FROM cooperative`,
          [state, days],
        );
      await add('done', 31);
      await add('done', 29);
      await add('queued', null);
      expect(await api.app.get(OldRows).forget()).toMatchObject({ job: 2 });
      const { rows } = await client.query<{ state: string; n: number }>(
        `SELECT state, count(*)::int AS n FROM job WHERE kind = 'nobody-does-it' GROUP BY state ORDER BY state`,
      );
      return rows;
    });
    expect(ids).toEqual([
      { state: 'done', n: 2 },
      { state: 'queued', n: 2 },
    ]);
  });

  it('are forgotten of live events after eight days, and nothing that a stream may go on after', async () => {
    const cooperativeId = places[0]?.id ?? '';
    const [old, kept] = await withClient(api.database.ownerUrl, async (client) => {
      const add = async (days: number): Promise<string> => {
        const { rows } = await client.query<{ seq: string }>(
          `INSERT INTO outbox (cooperative_id, topic, created_at) VALUES ($1, 'stock', now() - make_interval(days => $2)) RETURNING seq`,
          [cooperativeId, days],
        );
        return rows[0]?.seq ?? '';
      };
      return [await add(9), await add(6)] as const;
    });
    const since = (seq: string) =>
      api.app
        .get(UnitOfWork)
        .read({ cooperativeId, personId: '' }, (tx) =>
          api.app.get(OutboxRepository).since(tx, cooperativeId, BigInt(seq)),
        );
    const newest = () =>
      api.app
        .get(UnitOfWork)
        .read({ cooperativeId, personId: '' }, (tx) => api.app.get(OutboxRepository).latest(tx, cooperativeId));
    // Too old to be sure of, although it is still there.
    expect(new Set((await since(old)).map(({ topic }) => topic))).toEqual(new Set(topics));
    expect(await api.app.get(OldRows).forget()).toMatchObject({ outbox: 1 });
    // Gone: everything is to be read again, and the stream goes on from the newest.
    const all = await since(old);
    expect(new Set(all.map(({ topic }) => topic))).toEqual(new Set(topics));
    expect(new Set(all.map(({ seq }) => seq))).toEqual(new Set([await newest()]));
    // Within the time that is kept nothing is missing: one that was given its number before, and one after.
    const later = await withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ seq: string }>(
        `INSERT INTO outbox (cooperative_id, topic, created_at) VALUES ($1, 'recipes', now() - interval '6 days') RETURNING seq`,
        [cooperativeId],
      );
      return rows[0]?.seq;
    });
    const told = await since(kept);
    expect(told.map(({ seq }) => String(seq))).toContain(later);
    expect(told.map(({ seq }) => String(seq))).not.toContain(kept);
  });
});
