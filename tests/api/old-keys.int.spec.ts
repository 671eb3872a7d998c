import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { OldKeys } from '../../apps/api/src/platform/db/old-keys.ts';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { startApi, type Api } from './harness.ts';

describe('answers kept for repeated requests', () => {
  let api: Api;
  let places: BuiltCooperative[];
  beforeAll(async () => {
    api = await startApi();
    places = [await buildCooperative(api), await buildCooperative(api)];
  });
  afterAll(() => api.stop());

  it('are forgotten after thirty days, in every cooperative, and not before', async () => {
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
    expect(await api.app.get(OldKeys).forget()).toBe(2);
    expect(await api.app.get(OldKeys).forget()).toBe(0);
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
});
