import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { withClient } from '../../tools/database.mjs';
import { ORIGIN, startApi, type Api } from './harness.ts';

const PASSWORD = 'cold hands warm pot';
const cooperative = (email: string) => ({
  name: 'Mill Yard',
  currency: 'EUR',
  timeZone: 'Europe/Madrid',
  locale: 'en',
  unitSystem: 'metric',
  householdName: 'Alder',
  displayName: 'Ada Alder',
  email,
  password: PASSWORD,
});

describe('signing in and out', () => {
  let api: Api;
  const email = 'ada@example.org';
  beforeAll(async () => {
    api = await startApi();
    await api.client().ok('POST', '/cooperatives', cooperative(email));
  });
  afterAll(() => api.stop());
  const sql = (text: string) => withClient(api.database.ownerUrl, (client) => client.query(text));

  it('opens a session with the right password, whatever the case of the address', async () => {
    const client = api.client();
    const answer = await client.call('POST', '/sign-in', { email: 'ADA@example.org', password: PASSWORD });
    expect(answer.status).toBe(200);
    expect(answer.body).toMatchObject({ email, displayName: 'Ada Alder', memberships: [{ householdName: 'Alder' }] });
    expect((await client.call('GET', '/me')).body).toEqual(answer.body);
  });

  it('answers an unknown address just as a wrong password', async () => {
    const wrong = await api.client().call('POST', '/sign-in', { email, password: 'not this one' });
    const unknown = await api.client().call('POST', '/sign-in', { email: 'bo@example.org', password: 'not this one' });
    expect(wrong.status).toBe(401);
    expect(wrong.body).toMatchObject({ code: 'wrong-credentials' });
    expect(unknown.text).toBe(wrong.text);
    expect(wrong.headers.getSetCookie()).toEqual([]);
  });

  it('keeps the cookie from scripts and other sites, and only its hash in the database', async () => {
    const answer = await api.client().call('POST', '/sign-in', { email, password: PASSWORD });
    const [cookie = ''] = answer.headers.getSetCookie();
    expect(cookie).toMatch(/^frostmoot=[\w-]{43}; Max-Age=7776000; Path=\/; HttpOnly; SameSite=Lax$/);
    const secret = /=([\w-]+)/.exec(cookie)?.[1] ?? '';
    const { rows } = await sql('SELECT token_hash FROM session');
    const kept = rows.map(({ token_hash }: { token_hash: Buffer }) => token_hash.toString('base64url'));
    expect(kept.length).toBeGreaterThan(0);
    expect(kept).not.toContain(secret);
  });

  it('ends the session at sign-out, for the cookie as well as for who kept a copy of it', async () => {
    const client = await api.signInAs(email, PASSWORD);
    const copy = api.client(client.cookie);
    expect((await client.call('POST', '/sign-out', undefined, { key: null })).status).toBe(204);
    expect((await copy.call('GET', '/me')).body).toMatchObject({ code: 'not-signed-in', status: 401 });
  });

  it('puts a new session in the place of the one that the browser had', async () => {
    const client = await api.signInAs(email, PASSWORD);
    const before = api.client(client.cookie);
    await client.ok('POST', '/sign-in', { email, password: PASSWORD });
    expect((await before.call('GET', '/me')).status).toBe(401);
    expect((await client.call('GET', '/me')).status).toBe(200);
  });

  it('forgets a session after 14 days without use and after 90 days in any case', async () => {
    const idle = await api.signInAs(email, PASSWORD);
    await sql(`UPDATE session SET last_seen_at = now() - interval '13 days 23 hours'`);
    expect((await idle.call('GET', '/me')).status).toBe(200);
    await sql(`UPDATE session SET last_seen_at = now() - interval '14 days 1 minute'`);
    expect((await idle.call('GET', '/me')).status).toBe(401);

    const old = await api.signInAs(email, PASSWORD);
    await sql(`UPDATE session SET expires_at = now() + interval '1 minute'`);
    expect((await old.call('GET', '/me')).status).toBe(200);
    await sql(`UPDATE session SET expires_at = now() - interval '1 second'`);
    expect((await old.call('GET', '/me')).status).toBe(401);
  });

  it('counts use: a session that is read within the fortnight lives on', async () => {
    const client = await api.signInAs(email, PASSWORD);
    await sql(`UPDATE session SET last_seen_at = now() - interval '10 days'`);
    expect((await client.call('GET', '/me')).status).toBe(200);
    const { rows } = await sql(`SELECT max(last_seen_at) > now() - interval '1 minute' AS fresh FROM session`);
    expect(rows).toEqual([{ fresh: true }]);
  });

  it('takes a changed name only with the version that was read', async () => {
    const client = await api.signInAs(email, PASSWORD);
    const { version } = await client.ok<{ version: number }>('GET', '/me');
    const changed = await client.call('PATCH', '/me', { displayName: 'Ada A.', locale: 'es' }, { ifMatch: version });
    expect(changed.body).toMatchObject({ displayName: 'Ada A.', locale: 'es', version: version + 1 });
    expect(changed.headers.get('etag')).toBe(`"${version + 1}"`);
    expect((await client.call('PATCH', '/me', { locale: 'ar' }, { ifMatch: version })).status).toBe(412);
  });
});

describe('writes from elsewhere', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi();
  });
  afterAll(() => api.stop());
  const send = (headers: Record<string, string>, body = '{}') =>
    fetch(`${api.url}/api/sign-in`, { method: 'POST', headers, body });
  const json = { 'content-type': 'application/json' };

  it('refuses a write from another site, and one that does not say where it is from', async () => {
    for (const headers of [
      json,
      { ...json, origin: 'https://elsewhere.example' },
      { ...json, origin: 'null' },
      { ...json, origin: ORIGIN, 'sec-fetch-site': 'cross-site' },
      { ...json, origin: ORIGIN, 'sec-fetch-site': 'same-site' },
    ]) {
      const response = await send(headers);
      expect([response.status, await response.json()]).toMatchObject([403, { code: 'forbidden' }]);
    }
  });

  it('takes one from its own pages, by what the browser says or by the origin', async () => {
    // 400: it got as far as the body.
    expect((await send({ ...json, origin: ORIGIN })).status).toBe(400);
    expect((await send({ ...json, 'sec-fetch-site': 'same-origin' })).status).toBe(400);
  });

  it('refuses what a form could send', async () => {
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data; boundary=x']) {
      const response = await send({ 'content-type': type, origin: ORIGIN }, 'email=a');
      expect([response.status, await response.json()]).toMatchObject([400, { code: 'not-json' }]);
    }
  });
});

describe('over HTTPS', () => {
  it('binds the cookie to this very host and asks for HTTPS from then on', async () => {
    const api = await startApi({ publicUrl: 'https://frostmoot.example' });
    const client = api.client();
    const answer = await client.call('POST', '/cooperatives', cooperative('ada@example.org'), {
      headers: { origin: 'https://frostmoot.example' },
    });
    expect(answer.headers.getSetCookie()[0]).toMatch(
      /^__Host-frostmoot=[\w-]{43}; Max-Age=7776000; Path=\/; HttpOnly; Secure; SameSite=Lax$/,
    );
    expect((await client.call('GET', '/me')).status).toBe(200);
    expect(answer.headers.get('strict-transport-security')).toBe('max-age=31536000');
    expect(answer.headers.get('content-security-policy')).toContain('upgrade-insecure-requests');
    await api.stop();
  });
});

describe('guessing passwords', () => {
  it('is stopped after ten failures for an account from one address, also for who then has the right one', async () => {
    const api = await startApi();
    const email = 'ada@example.org';
    await api.client().ok('POST', '/cooperatives', cooperative(email));
    const attempt = (password: string, address = email) =>
      api.client().call('POST', '/sign-in', { email: address, password });
    for (let count = 0; count < 9; count += 1) expect((await attempt('guess')).status).toBe(401);
    // Success begins the count anew.
    expect((await attempt(PASSWORD)).status).toBe(200);
    for (let count = 0; count < 10; count += 1) expect((await attempt('guess')).status).toBe(401);
    const refused = await attempt(PASSWORD);
    expect(refused.body).toMatchObject({ status: 429, code: 'too-many-attempts' });
    expect(Number(refused.headers.get('retry-after'))).toBeGreaterThan(800);
    expect((await attempt('guess', 'somebody.else@example.org')).status).toBe(401);
    await api.stop();
  });
});
