import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { problem } from '@frostmoot/contract';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { startApi, type Answer, type Api } from './harness.ts';

describe('refusals', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi();
    cooperative = await buildCooperative(api);
  });
  afterAll(() => api.stop());

  /** A problem document (RFC 9457): its media type, and the status in the body as in the line. */
  function problemOf(answer: Answer<unknown>) {
    expect(answer.headers.get('content-type')).toBe('application/problem+json; charset=utf-8');
    const read = problem.parse(answer.body);
    expect(read.status).toBe(answer.status);
    return read;
  }

  it('point to every field that is wrong, and write nothing', async () => {
    const { id } = cooperative.household('Alder');
    const path = `${cooperative.path}/households/${id}/diners`;
    const refused = await cooperative.coordinator.call('POST', path, {
      name: '  ',
      ageBand: 'giant',
      restrictions: [{ subject: 'milk', strength: 'hard' }, { subject: 'egg' }],
    });
    const { code, errors } = problemOf(refused);
    expect(code).toBe('invalid-input');
    expect(errors?.map(({ pointer }) => pointer).sort()).toEqual(['#/ageBand', '#/name', '#/restrictions/1/strength']);
    const { rows } = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT count(*)::int AS diners FROM diner WHERE cooperative_id = $1', [cooperative.id]),
    );
    expect(rows).toEqual([{ diners: 6 }]);
  });

  it('point to what the domain refuses as well', async () => {
    const { id } = cooperative.household('Alder');
    const path = `${cooperative.path}/households/${id}/diners`;
    const diner = { name: 'Kit', ageBand: 'child' };
    const of = async (body: object) => problemOf(await cooperative.coordinator.call('POST', path, body)).errors;
    expect(await of({ ...diner, restrictions: [{ subject: 'moonlight', strength: 'hard' }], consent: true })).toEqual([
      { pointer: '#/restrictions/0/subject', detail: expect.any(String) },
    ]);
    expect(await of({ ...diner, restrictions: [{ subject: 'milk', strength: 'hard' }] })).toEqual([
      { pointer: '#/consent', detail: expect.any(String) },
    ]);
  });

  it('name a wrong query parameter', async () => {
    const refused = await cooperative.coordinator.call('GET', `${cooperative.path}/this-week?householdId=me`);
    expect(problemOf(refused)).toMatchObject({ code: 'invalid-input', errors: [{ pointer: '#/householdId' }] });
  });

  it('answer what is no JSON, too deep or too large', async () => {
    const path = `${cooperative.path}/households`;
    const send = async (body: string) => problemOf(await cooperative.coordinator.call('POST', path, body));
    expect(await send('{"name":')).toMatchObject({ status: 400, code: 'not-json' });
    expect(await send('')).toMatchObject({ status: 400, code: 'not-json' });
    expect(await send('[1]')).toMatchObject({ status: 400, code: 'invalid-input' });
    expect(await send('{"__proto__":{"name":"x"}}')).toMatchObject({ status: 400, code: 'not-json' });
    expect(await send(`{"name":"x","more":${'['.repeat(200_000)}${']'.repeat(200_000)}}`)).toMatchObject({
      code: 'too-large',
    });
    expect(await send(JSON.stringify({ name: 'x'.repeat(1_100_000) }))).toMatchObject({
      status: 413,
      code: 'too-large',
    });
  });

  it('answer a path that leads nowhere, and a thing that is not there, alike', async () => {
    const missing = '01900000-0000-7000-8000-000000000000';
    for (const path of ['/nowhere', `${cooperative.path}/households/${missing}`, `${cooperative.path}/households/x`]) {
      expect(problemOf(await cooperative.coordinator.call('GET', path))).toMatchObject({
        status: 404,
        code: 'not-found',
      });
    }
    for (const id of [missing, 'x', '%00']) {
      expect(problemOf(await cooperative.coordinator.call('GET', `/cooperatives/${id}`)).code).toBe('not-found');
    }
  });

  it('tell who is not signed in, and who may not', async () => {
    expect(problemOf(await api.client().call('GET', cooperative.path))).toMatchObject({ code: 'not-signed-in' });
    expect(problemOf(await api.client('frostmoot=guessed').call('GET', '/me'))).toMatchObject({ status: 401 });
    const { client } = cooperative.household('Birch');
    const refused = await client.call('PATCH', cooperative.path, { name: 'Ours' }, { ifMatch: 1 });
    expect(problemOf(refused)).toMatchObject({ status: 403, code: 'forbidden' });
  });

  it('do not say what went wrong inside', async () => {
    await withClient(api.database.ownerUrl, async (client) => {
      await client.query('ALTER TABLE diner RENAME TO away');
      const broken = await cooperative.coordinator.call('GET', `${cooperative.path}/households`);
      await client.query('ALTER TABLE away RENAME TO diner');
      expect(problemOf(broken)).toEqual({
        type: '/problems/internal',
        title: 'Internal',
        status: 500,
        detail: 'Something went wrong on our side',
        code: 'internal',
      });
    });
    expect((await cooperative.coordinator.call('GET', `${cooperative.path}/households`)).status).toBe(200);
  });
});
