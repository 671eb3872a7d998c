import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { startApi, type Api } from './harness.ts';

describe('the same request sent again', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi();
    cooperative = await buildCooperative(api);
  });
  afterAll(() => api.stop());
  const add = (name: string, key: string | null) =>
    cooperative.coordinator.call<{ id: string }>('POST', `${cooperative.path}/households`, { name }, { key });
  const count = async (name: string) => {
    const { rows } = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT 1 FROM household WHERE cooperative_id = $1 AND name = $2', [cooperative.id, name]),
    );
    return rows.length;
  };

  it('gets the same bytes again and has its effect once', async () => {
    const key = randomUUID();
    const first = await add('Elm', key);
    const again = await add('Elm', key);
    expect(first.status).toBe(201);
    expect([again.status, again.text, again.headers.get('etag')]).toEqual([201, first.text, first.headers.get('etag')]);
    expect(await count('Elm')).toBe(1);
  });

  it('gets the same bytes again although the thing has changed since', async () => {
    const key = randomUUID();
    const first = await add('Fir', key);
    await cooperative.coordinator.ok(
      'PATCH',
      `${cooperative.path}/households/${first.body.id}`,
      { name: 'Pine' },
      { ifMatch: 1 },
    );
    expect((await add('Fir', key)).text).toBe(first.text);
    expect(await count('Fir')).toBe(0);
  });

  it('is the same in whatever order its members were written', async () => {
    const key = randomUUID();
    const send = (body: string) =>
      cooperative.coordinator.call('POST', `${cooperative.path}/households`, body, { key });
    const first = await send('{"name":"Hazel","freezerLitres":"90.5"}');
    expect((await send('{ "freezerLitres": "90.5", "name": "Hazel" }')).text).toBe(first.text);
  });

  it('is refused with another body, another path or another version under the same key', async () => {
    const key = randomUUID();
    const { body } = await add('Gorse', key);
    expect((await add('Gorse 2', key)).body).toMatchObject({ status: 422, code: 'idempotency-key-reused' });
    const path = `${cooperative.path}/households/${body.id}`;
    const other = await cooperative.coordinator.call('PATCH', path, { name: 'Gorse' }, { key, ifMatch: 1 });
    expect(other.body).toMatchObject({ status: 422, code: 'idempotency-key-reused' });
    expect(await count('Gorse 2')).toBe(0);
  });

  it('needs a key that can be one', async () => {
    expect((await add('Holly', null)).body).toMatchObject({ status: 400, code: 'idempotency-key-missing' });
    expect((await add('Holly', 'short')).body).toMatchObject({ status: 400, code: 'invalid-input' });
    expect((await add('Holly', 'x'.repeat(129))).body).toMatchObject({ status: 400, code: 'invalid-input' });
    expect(await count('Holly')).toBe(0);
  });

  it('has nothing to do with the key of another person', async () => {
    const key = randomUUID();
    const { id, client } = cooperative.household('Birch');
    const path = `${cooperative.path}/households`;
    await add('Ivy', key);
    const other = await client.call(
      'PATCH',
      `${path}/${id}`,
      { name: 'Birch', freezerLitres: '80' },
      { key, ifMatch: 1 },
    );
    expect(other.status).toBe(200);
  });

  it('may be sent again after a refusal, since nothing was kept', async () => {
    const key = randomUUID();
    await add('Juniper', randomUUID());
    expect((await add('Juniper', key)).body).toMatchObject({ status: 409, code: 'conflict' });
    await withClient(api.database.ownerUrl, (client) =>
      client.query('DELETE FROM household WHERE cooperative_id = $1 AND name = $2', [cooperative.id, 'Juniper']),
    );
    expect((await add('Juniper', key)).status).toBe(201);
  });

  it('has one effect when it comes in parallel', async () => {
    for (let round = 0; round < 10; round += 1) {
      const key = randomUUID();
      const name = `Larch ${round}`;
      const answers = await Promise.all(Array.from({ length: 5 }, () => add(name, key)));
      const made = answers.filter(({ status }) => status === 201);
      const waiting = answers.filter(({ status }) => status === 409);
      expect(made.length).toBeGreaterThan(0);
      expect(made.length + waiting.length).toBe(5);
      expect(new Set(made.map(({ text }) => text)).size).toBe(1);
      for (const { body } of waiting) expect(body).toMatchObject({ code: 'idempotency-key-in-use' });
      expect(await count(name)).toBe(1);
      expect((await add(name, key)).text).toBe(made[0]?.text);
    }
  });

  it('is told to wait while the first is still running', async () => {
    const key = randomUUID();
    const [{ personId }] = [cooperative.households[0] ?? { personId: '' }];
    await withClient(api.database.ownerUrl, async (client) => {
      await client.query('BEGIN');
      await client.query('SELECT pg_advisory_xact_lock(hashtextextended($1, 0))', [
        `${cooperative.id} ${personId} ${key}`,
      ]);
      expect((await add('Maple', key)).body).toMatchObject({ status: 409, code: 'idempotency-key-in-use' });
      await client.query('ROLLBACK');
    });
    expect((await add('Maple', key)).status).toBe(201);
  });
});
