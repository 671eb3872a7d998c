import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api, type Client } from './harness.ts';

const PASSWORD = 'cold hands warm pot';
const cooperative = (email: string, more: object = {}) => ({
  name: 'Mill Yard',
  currency: 'EUR',
  timeZone: 'Europe/Madrid',
  locale: 'es',
  unitSystem: 'metric',
  householdName: 'Alder',
  displayName: 'Ada Alder',
  email,
  password: PASSWORD,
  ...more,
});

interface Me {
  personId: string;
  email: string;
  locale: string;
  memberships: { cooperativeId: string; householdId: string; householdName: string; roles: string[] }[];
}

/** Sets up a cooperative and gives its path and first household. */
async function setUp(client: Client, email: string) {
  const me = await client.ok<Me>('POST', '/cooperatives', cooperative(email));
  const [place] = me.memberships;
  return {
    path: `/cooperatives/${place?.cooperativeId}`,
    cooperativeId: place?.cooperativeId,
    householdId: place?.householdId,
  };
}

describe('setting up a cooperative', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi({ now: new Date('2026-11-28T23:30:00.000Z') });
  });
  afterAll(() => api.stop());

  it('makes the cooperative, its first household and its coordinator, who is signed in', async () => {
    const client = api.client();
    const answer = await client.call<Me>('POST', '/cooperatives', cooperative('ada@example.org'));
    expect(answer.status).toBe(201);
    expect(answer.body).toMatchObject({
      email: 'ada@example.org',
      locale: 'es',
      memberships: [{ householdName: 'Alder', roles: ['coordinator', 'buyer', 'adult'] }],
    });
    const [place] = answer.body.memberships;
    const made = await client.ok('GET', `/cooperatives/${place?.cooperativeId}`);
    expect(made).toMatchObject({ currency: 'EUR', currencyDigits: 2, isDemo: false, today: '2026-11-29' });
    const household = await client.ok('GET', `/cooperatives/${place?.cooperativeId}/households/${place?.householdId}`);
    expect(household).toMatchObject({ joinedOn: '2026-11-29', weight: '0', diners: [] });
  });

  it('refuses an address that has an account, and leaves nothing behind', async () => {
    const before = await count();
    const refused = await api.client().call('POST', '/cooperatives', cooperative('ADA@example.org'));
    expect(refused.body).toMatchObject({ status: 409, code: 'email-taken' });
    expect(refused.headers.getSetCookie()).toEqual([]);
    expect(await count()).toEqual(before);
  });

  it('refuses a currency and a time zone that do not exist, a short password and what is no address', async () => {
    const before = await count();
    const call = async (more: object) =>
      (
        await api
          .client()
          .call<{ errors: { pointer: string }[] }>('POST', '/cooperatives', cooperative('bo@example.org', more))
      ).body.errors;
    expect(await call({ currency: 'QQQ', timeZone: 'Europe/Atlantis' })).toMatchObject([
      { pointer: '#/currency' },
      { pointer: '#/timeZone' },
    ]);
    expect(await call({ password: 'short', email: 'bo' })).toMatchObject([
      { pointer: '#/email' },
      { pointer: '#/password' },
    ]);
    expect(await count()).toEqual(before);
  });

  it('sent again gives the same answer and a session, but only to whoever has the password', async () => {
    const key = randomUUID();
    const body = cooperative('cem@example.org');
    const first = await api.client().call('POST', '/cooperatives', body, { key });
    const client = api.client();
    const again = await client.call('POST', '/cooperatives', body, { key });
    expect([again.status, again.text]).toEqual([201, first.text]);
    expect((await client.call('GET', '/me')).status).toBe(200);
    const other = await api.client().call('POST', '/cooperatives', { ...body, password: 'another password' }, { key });
    expect(other.body).toMatchObject({ status: 401, code: 'wrong-credentials' });
  });

  async function count() {
    const { rows } = await withClient(api.database.ownerUrl, (client) =>
      client.query(
        'SELECT (SELECT count(*) FROM person) AS persons, (SELECT count(*) FROM cooperative) AS cooperatives, (SELECT count(*) FROM household) AS households',
      ),
    );
    return rows[0] as unknown;
  }
});

describe('invitations', () => {
  let api: Api;
  let coordinator: Client;
  let place: Awaited<ReturnType<typeof setUp>>;
  beforeAll(async () => {
    api = await startApi();
    coordinator = api.client();
    place = await setUp(coordinator, 'ada@example.org');
  });
  afterAll(() => api.stop());
  const invite = (key?: string, who = coordinator) =>
    who.call<{ path: string; expiresAt: string }>(
      'POST',
      `${place.path}/invitations`,
      { householdId: place.householdId, roles: ['adult'] },
      { key },
    );
  const tokenOf = (path: string) => new URL(path, 'http://localhost').searchParams.get('token');
  const accept = (token: string | null, email: string, password = PASSWORD) => {
    const client = api.client();
    const body = { cooperativeId: place.cooperativeId, token, displayName: 'Bo Birch', email, password };
    return client.call<Me>('POST', '/invitations/accept', body).then((answer) => ({ ...answer, client }));
  };

  it('give a place to whoever opens the link, once', async () => {
    const { body } = await invite();
    expect(new URL(body.path, 'http://localhost').searchParams.get('cooperative')).toBe(place.cooperativeId);
    const accepted = await accept(tokenOf(body.path), 'bo@example.org');
    expect(accepted.status).toBe(200);
    expect(accepted.body).toMatchObject({ locale: 'es', memberships: [{ householdName: 'Alder', roles: ['adult'] }] });
    expect((await accepted.client.call('GET', place.path)).status).toBe(200);
    expect((await accept(tokenOf(body.path), 'cem@example.org')).body).toMatchObject({ status: 404 });
    expect((await accept('x'.repeat(43), 'cem@example.org')).body).toMatchObject({ status: 404 });
  });

  it('work for one of many who open the link at once', async () => {
    const { body } = await invite();
    const emails = ['d1', 'd2', 'd3', 'd4'].map((name) => `${name}@example.org`);
    const answers = await Promise.all(emails.map((email) => accept(tokenOf(body.path), email)));
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 404, 404, 404]);
    const { rows } = await withClient(api.database.ownerUrl, (client) =>
      client.query(`SELECT count(*)::int AS made FROM person WHERE email LIKE 'd_@example.org'`),
    );
    expect(rows).toEqual([{ made: 1 }]);
  });

  it('end after a fortnight', async () => {
    const { body } = await invite();
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`UPDATE invitation SET expires_at = now() - interval '1 second' WHERE accepted_at IS NULL`),
    );
    expect((await accept(tokenOf(body.path), 'eve@example.org')).status).toBe(404);
    expect(Date.parse(body.expiresAt) - Date.now()).toBeGreaterThan(13.9 * 86_400_000);
  });

  it('are given again for the same request, though the token is kept only as a hash', async () => {
    const key = randomUUID();
    const first = await invite(key);
    expect((await invite(key)).text).toBe(first.text);
    const dump = await withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query(
        'SELECT i::text AS row FROM invitation i UNION ALL SELECT k::text FROM idempotency_key k',
      );
      return JSON.stringify(rows);
    });
    expect(dump).not.toContain(tokenOf(first.body.path) ?? '');
  });

  it('are the coordinator’s to give, and for households that exist', async () => {
    const { body } = await invite();
    const adult = (await accept(tokenOf(body.path), 'fay@example.org')).client;
    expect((await invite(undefined, adult)).body).toMatchObject({ status: 403 });
    const nowhere = await coordinator.call('POST', `${place.path}/invitations`, {
      householdId: randomUUID(),
      roles: ['adult'],
    });
    expect(nowhere.body).toMatchObject({ status: 404 });
  });

  it('take an existing account by its password, and refuse one that is a member already', async () => {
    const other = api.client();
    await setUp(other, 'gus@example.org');
    const { body } = await invite();
    expect((await accept(tokenOf(body.path), 'gus@example.org', 'not the password')).body).toMatchObject({
      code: 'wrong-credentials',
    });
    const joined = await accept(tokenOf(body.path), 'gus@example.org');
    expect(joined.body.memberships).toHaveLength(2);
    const further = await invite();
    expect((await accept(tokenOf(further.body.path), 'gus@example.org')).body).toMatchObject({ code: 'conflict' });
    // The refusal has not used it up.
    expect((await accept(tokenOf(further.body.path), 'hal@example.org')).status).toBe(200);
  });
});

describe('the demonstration', () => {
  let api: Api;
  let demoDir: string;
  const demoEmail = 'demo@example.org';
  const accounts = [
    { email: demoEmail, password: PASSWORD, displayName: 'Ada Alder', householdName: 'Alder', roles: ['coordinator'] },
  ];
  beforeAll(async () => {
    demoDir = await mkdtemp(join(tmpdir(), 'frostmoot-demo-'));
    await writeFile(join(demoDir, 'accounts.json'), JSON.stringify(accounts));
    api = await startApi({ demoDir });
  });
  afterAll(async () => {
    await api.stop();
    await rm(demoDir, { recursive: true });
  });
  const offered = () => api.client().ok('GET', '/demo');

  it('is offered once it is loaded, and closed for good by the first real cooperative', async () => {
    expect(await offered()).toEqual({ enabled: false, accounts: [] });
    await setUp(api.client(), demoEmail);
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `UPDATE cooperative SET is_demo = true; UPDATE installation SET demo_loaded_at = now(), real_cooperative_at = NULL`,
      ),
    );
    expect(await offered()).toEqual({ enabled: true, accounts });
    const visitor = await api.signInAs(demoEmail, PASSWORD);

    await setUp(api.client(), 'real@example.org');
    expect(await offered()).toEqual({ enabled: false, accounts: [] });
    const refused = await api.client().call('POST', '/sign-in', { email: demoEmail, password: PASSWORD });
    expect(refused.body).toMatchObject({ status: 401, code: 'wrong-credentials' });
    expect((await visitor.call('GET', '/me')).status).toBe(401);
    expect((await api.signInAs('real@example.org', PASSWORD)).cookie).not.toBe('');
  });
});
