import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Answer, type Api, type CallOptions, type Client } from '../api/harness.ts';
import { addMember, buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { outside } from './operations.ts';
import { readTable } from './state-table.ts';

/**
 * Who may do what outside of any cooperative: `ended` has signed out, the session of `expired` has run out, `elsewhere` is signed in and on a page of
 * another site. `yes`: it is done; a code: it is refused with it, and nobody's account, session, membership or invitation has changed.
 */
const TABLE = readTable(`
                    nobody         ended          expired        member  elsewhere
  getMe             not-signed-in  not-signed-in  not-signed-in  yes     yes
  changeMe          not-signed-in  not-signed-in  not-signed-in  yes     forbidden
  signIn            yes            yes            yes            yes     forbidden
  signOut           yes            yes            yes            yes     forbidden
  setUpCooperative  yes            yes            yes            yes     forbidden
  acceptInvitation  yes            yes            yes            yes     forbidden
  getDemo           yes            yes            yes            yes     yes
  isLive            yes            yes            yes            yes     yes
  isReady           yes            yes            yes            yes     yes
  /openapi.json     yes            yes            yes            yes     yes
  /docs             yes            yes            yes            yes     yes
  /docs.css         yes            yes            yes            yes     yes
`);
const PASSWORD = 'cold hands warm pot';
const GLOBAL = ['person', 'session', 'cooperative', 'membership', 'invitation', 'installation'];

let api: Api;
let ours: BuiltCooperative;
beforeAll(async () => {
  api = await startApi();
  ours = await buildCooperative(api);
});
afterAll(() => api.stop());

const set = (text: string, values: unknown[]) =>
  withClient(api.database.ownerUrl, (client) => client.query(text, values));

/** A browser of each kind, its own for every cell, since signing in ends what session it had. */
async function browserOf(who: string): Promise<Client> {
  if (who === 'nobody') return api.client();
  const { client, personId } = await addMember(api, ours, ours.household('Birch'), ['adult']);
  if (who === 'ended') {
    const { cookie } = client;
    await client.call('POST', '/sign-out', undefined, { key: null });
    client.cookie = cookie;
  }
  if (who === 'expired') {
    await set(`UPDATE session SET expires_at = now() - interval '1 second' WHERE person_id = $1`, [personId]);
  }
  return client;
}

const account = () => ({ displayName: 'Ada', email: `${randomUUID()}@example.org`, password: PASSWORD });
const setUpOf = (who: ReturnType<typeof account>) => ({
  ...{ name: 'Mill Yard', currency: 'EUR', timeZone: 'Europe/Madrid', locale: 'en', unitSystem: 'metric' },
  ...{ householdName: 'Alder', ...who },
});
/** Who has an account with a password. */
const known = account();
/** What each is asked with. */
const bodies: Record<string, () => Promise<object>> = {
  changeMe: () => Promise.resolve({ displayName: 'Ada now' }),
  signIn: () => Promise.resolve({ email: known.email, password: PASSWORD }),
  setUpCooperative: () => Promise.resolve(setUpOf(account())),
  acceptInvitation: async () => {
    const body = { householdId: ours.household('Cedar').id, roles: ['adult'] };
    const { path } = await ours.coordinator.ok<{ path: string }>('POST', `${ours.path}/invitations`, body);
    const query = new URLSearchParams(path.split('?')[1]);
    return { cooperativeId: query.get('cooperative'), token: query.get('token'), ...account() };
  },
};

const everybody = async (): Promise<string> => {
  const rows = await withClient(api.database.ownerUrl, async (client) => {
    const all: unknown[] = [];
    for (const table of GLOBAL) all.push((await client.query(`SELECT * FROM ${table} t ORDER BY t`)).rows);
    return all;
  });
  return JSON.stringify(rows);
};

async function answer(act: string, client: Client, who: string, body: object | undefined): Promise<string> {
  const operation = outside.find(({ id }) => id === act) ?? { method: 'GET' as const, path: act };
  const options: CallOptions = {
    ...(who === 'elsewhere' ? { headers: { origin: 'https://elsewhere.example' } } : {}),
    ...(act === 'changeMe' ? { ifMatch: 1 } : {}),
  };
  const found: Answer = await client.call(operation.method, operation.path, body, options);
  return found.status < 300 ? 'yes' : String((found.body as { code?: unknown } | null)?.code ?? found.status);
}

it('every operation outside of a cooperative is in the table', () => {
  const named = TABLE.rows.map(({ act }) => act).filter((act) => !act.startsWith('/'));
  expect(named.sort()).toEqual(outside.map(({ id }) => id).sort());
});

it('each is done for those who may, and refused to everybody else without a change', async () => {
  await api.client().ok('POST', '/cooperatives', setUpOf(known));
  const wrong: string[] = [];
  for (const { act, cells } of TABLE.rows) {
    for (const [index, expected] of cells.entries()) {
      const who = TABLE.states[index] ?? '';
      const client = await browserOf(who);
      const body = await bodies[act]?.();
      const before = expected === 'yes' ? '' : await everybody();
      const found = await answer(act, client, who, body);
      if (found !== expected) wrong.push(`${act} by ${who}: ${found} instead of ${expected}`);
      if (expected !== 'yes' && (await everybody()) !== before) wrong.push(`${act} by ${who} has changed something`);
    }
  }
  expect(wrong).toEqual([]);
});
