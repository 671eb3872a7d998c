import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { withClient } from '../../tools/database.mjs';
import { Client, startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { brokenInvariants } from '../database/test-database.ts';
import { endProcess, startProcess, type Process } from './api-process.ts';
import { quantile, storm, violationsOf, type Attempt, type Kept, type Outcome, type Storage } from './claim-storm.ts';

const CLIENTS = 64;
const ATTEMPTS = 10_000;
const HOUSEHOLDS = 8;
const CONTAINERS = 40;
/** portions that a household may be ahead: none, so that each may take back no more than it gave */
const ALLOWANCE = 0;
const NOW = '2026-11-23T10:00:00Z';

let api: Api;
let cooperative: BuiltCooperative;
let containers: string[];
let processes: Process[] = [];
beforeAll(async () => {
  api = await startApi({ now: new Date(NOW) });
  const names = Array.from({ length: HOUSEHOLDS }, (_, index) => `Lane ${String(index + 1).padStart(2, '0')}`);
  cooperative = await buildCooperative(api, { households: names.map((name) => ({ name, diners: [{}] })) });
  const { version } = await cooperative.coordinator.ok<{ version: number }>('GET', cooperative.path);
  await cooperative.coordinator.ok('PATCH', cooperative.path, { claimAheadPortions: ALLOWANCE }, { ifMatch: version });
  const round = await buildSharedRound(api, cooperative, {
    dishes: [{ name: 'Stew', containers: Array.from({ length: CONTAINERS }, () => 4) }],
    participants: names.map((household) => ({ household, weight: '1' })),
  });
  containers = round.containers.map(({ id }) => id);
  // Everything goes back to the pool: each household has five containers to come, and may not take a sixth.
  for (const { id, name, client } of cooperative.households) {
    for (const box of round.of(name)) {
      await client.ok('POST', `${cooperative.path}/containers/${box.id}/release`, { householdId: id });
    }
  }
  processes = await Promise.all([startProcess(api.database.appUrl, NOW), startProcess(api.database.appUrl, NOW)]);
});
afterAll(async () => {
  for (const each of processes) await endProcess(each);
  await api.stop();
});

/** Over HTTP, the clients by turns at one process and the other. */
function overHttp(): Storage {
  const households = new Map(cooperative.households.map((one) => [one.id, one]));
  const act = async (what: 'claim' | 'release', client: number, attempt: Attempt): Promise<Outcome> => {
    const { url } = processes[client % processes.length]!;
    const path = `${cooperative.path}/containers/${attempt.container}/${what}`;
    const cookie = households.get(attempt.household)!.client.cookie;
    const body = { householdId: attempt.household };
    const answer = await new Client(url, cookie).call<{ code?: string }>('POST', path, body, { key: attempt.key });
    const { status, text } = answer;
    return answer.body.code === undefined ? { status, text } : { status, text, code: answer.body.code };
  };
  return {
    claim: (client, attempt) => act('claim', client, attempt),
    release: (client, attempt) => act('release', client, attempt),
  };
}

async function keptByApi(): Promise<Kept> {
  return withClient(api.database.ownerUrl, async (client) => {
    const rows = async <T extends object>(sql: string) => (await client.query<T>(sql, [cooperative.id])).rows;
    const claims = await rows<{ household: string; container: string; live: boolean }>(
      `SELECT household_id AS household, container_id AS container, ended_at IS NULL AS live FROM claim
       WHERE cooperative_id = $1 AND balance_after IS NOT NULL`,
    );
    const holders = await rows<{ id: string; holder: string }>(
      `SELECT id, holder_household_id AS holder FROM container WHERE cooperative_id = $1 AND holder_household_id IS NOT NULL`,
    );
    const [least] = await rows<{ least: string }>(
      `SELECT least(min(c.balance_after), (SELECT min(balance) FROM account WHERE cooperative_id = $1 AND household_id IS NOT NULL)) / 1000000 AS least
         FROM claim c WHERE c.cooperative_id = $1 AND c.balance_after IS NOT NULL`,
    );
    return {
      claims,
      holders: new Map(holders.map(({ id, holder }) => [id, holder])),
      leastBalance: Number(least?.least ?? 0),
    };
  });
}

const householdIds = () => cooperative.households.map(({ id }) => id);

describe('ten thousand claims from 64 clients at two processes on one database', () => {
  it('sell nothing twice, acknowledge exactly the rows, and never go over an allowance', async () => {
    const began = performance.now();
    const seen = await storm(overHttp(), {
      clients: CLIENTS,
      attempts: ATTEMPTS,
      households: householdIds(),
      containers,
    });
    const seconds = (performance.now() - began) / 1000;
    const at = (part: number): string => quantile(seen.milliseconds, part).toFixed(0);
    process.stdout.write(
      `${seen.milliseconds.length} claim attempts in ${seconds.toFixed(1)} s: ${seen.claims.length} done, ` +
        `p50 ${at(0.5)} ms, p99 ${at(0.99)} ms; refused ${JSON.stringify(Object.fromEntries(seen.refusals))}\n`,
    );
    expect(seen.milliseconds.length).toBeGreaterThanOrEqual(ATTEMPTS);
    expect(violationsOf(seen, await keptByApi(), ALLOWANCE)).toEqual([]);
    // It was a race at both limits, and nothing else went wrong.
    const codes = [...seen.refusals.keys()].sort();
    expect(codes.filter((code) => code !== 'idempotency-key-in-use')).toEqual(['container-taken', 'over-allowance']);
    expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
  });
});

/** The same promises, kept by reading first and writing then, each in a transaction. */
function naive(pool: pg.Pool): Storage {
  const inTransaction = async (work: (client: pg.PoolClient) => Promise<string | null>): Promise<Outcome> => {
    const client = await pool.connect();
    try {
      await client.query('BEGIN');
      const code = await work(client);
      await client.query(code === null ? 'COMMIT' : 'ROLLBACK');
      return code === null ? { status: 200, text: '' } : { status: 409, code, text: '' };
    } finally {
      client.release();
    }
  };
  return {
    claim: (_, { household, container }) =>
      inTransaction(async (client) => {
        const free = await client.query('SELECT 1 FROM naive_container WHERE id = $1 AND holder IS NULL', [container]);
        if (free.rowCount === 0) return 'container-taken';
        const account = await client.query<{ balance: number }>('SELECT balance FROM naive_account WHERE id = $1', [
          household,
        ]);
        if (account.rows[0]!.balance - 4 < -ALLOWANCE) return 'over-allowance';
        await client.query('UPDATE naive_container SET holder = $2 WHERE id = $1', [container, household]);
        await client.query('INSERT INTO naive_claim VALUES ($1, $2, $3, true)', [randomUUID(), household, container]);
        await client.query(
          'UPDATE naive_account SET balance = balance - 4, least = least(least, balance - 4) WHERE id = $1',
          [household],
        );
        return null;
      }),
    release: (_, { household, container }) =>
      inTransaction(async (client) => {
        const held = await client.query('SELECT 1 FROM naive_container WHERE id = $1 AND holder = $2', [
          container,
          household,
        ]);
        if (held.rowCount === 0) return 'container-taken';
        await client.query('UPDATE naive_container SET holder = NULL WHERE id = $1', [container]);
        await client.query('UPDATE naive_claim SET live = false WHERE container = $1 AND household = $2 AND live', [
          container,
          household,
        ]);
        await client.query('UPDATE naive_account SET balance = balance + 4 WHERE id = $1', [household]);
        return null;
      }),
  };
}

describe('the control, which reads first and writes then', () => {
  it('fails the same test: it sells twice and goes over an allowance', async () => {
    // In tables of its own, so that the books of the cooperative stay right.
    const pool = new pg.Pool({ connectionString: api.database.ownerUrl, max: 20 });
    try {
      await pool.query('CREATE TABLE naive_container (id uuid PRIMARY KEY, holder uuid)');
      await pool.query('CREATE TABLE naive_account (id uuid PRIMARY KEY, balance int, least int)');
      await pool.query('CREATE TABLE naive_claim (id uuid PRIMARY KEY, household uuid, container uuid, live boolean)');
      await pool.query('INSERT INTO naive_container SELECT unnest($1::uuid[]), NULL', [containers]);
      await pool.query('INSERT INTO naive_account SELECT unnest($1::uuid[]), 20, 20', [householdIds()]);
      const plan = { clients: CLIENTS, attempts: ATTEMPTS / 5, households: householdIds(), containers };
      const seen = await storm(naive(pool), plan);
      const claims = await pool.query<Kept['claims'][number]>('SELECT household, container, live FROM naive_claim');
      const holders = await pool.query<{ id: string; holder: string }>(
        'SELECT id, holder FROM naive_container WHERE holder IS NOT NULL',
      );
      const least = await pool.query<{ least: number }>('SELECT min(least) AS least FROM naive_account');
      const wrong = violationsOf(
        seen,
        {
          claims: claims.rows,
          holders: new Map(holders.rows.map(({ id, holder }) => [id, holder])),
          leastBalance: least.rows[0]!.least,
        },
        ALLOWANCE,
      );
      process.stdout.write(`The control: ${wrong.join(', ')}\n`);
      expect(wrong).toEqual(expect.arrayContaining(['oversold', 'allowance exceeded']));
    } finally {
      await pool.query('DROP TABLE IF EXISTS naive_container, naive_account, naive_claim');
      await pool.end();
    }
  });
});
