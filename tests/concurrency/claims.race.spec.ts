import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';

interface Result {
  container: { holder: { name: string } };
  code?: string;
  params?: Record<string, string>;
}

let api: Api;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());

const rowsOf = <T extends object>(sql: string, values: unknown[]) =>
  withClient(api.database.ownerUrl, async (client) => (await client.query<T>(sql, values)).rows);

/** As many households of equal weight as containers of four portions, with every container given back to the pool: each balance is +4 portions, so each may take two. */
async function poolOf(containers: number): Promise<{ cooperative: BuiltCooperative; round: SharedRound }> {
  const names = Array.from({ length: containers }, (_, index) => `Lane ${String(index + 1).padStart(2, '0')}`);
  const cooperative = await buildCooperative(api, { households: names.map((name) => ({ name, diners: [{}] })) });
  const round = await buildSharedRound(api, cooperative, {
    dishes: [{ name: 'Stew', containers: names.map(() => 4) }],
    participants: names.map((household) => ({ household, weight: '1' })),
  });
  for (const { id, name } of cooperative.households) {
    for (const box of round.of(name)) {
      await cooperative.coordinator.ok('POST', `${cooperative.path}/containers/${box.id}/release`, { householdId: id });
    }
  }
  return { cooperative, round };
}

const claim = (cooperative: BuiltCooperative, who: number, containerId: string, key = randomUUID()) => {
  const { id, client } = cooperative.households[who]!;
  const path = `${cooperative.path}/containers/${containerId}/claim`;
  return client.call<Result>('POST', path, { householdId: id }, { key });
};

describe('claims at the same moment', () => {
  it('for the last container: one gets it, the other is told who has it', async () => {
    const { cooperative, round } = await poolOf(2);
    for (const { id } of round.containers) {
      const answers = await Promise.all([claim(cooperative, 0, id), claim(cooperative, 1, id)]);
      expect(answers.map(({ status }) => status).sort()).toEqual([200, 409]);
      const winner = answers.find(({ status }) => status === 200)?.body.container.holder.name;
      const loser = answers.find(({ status }) => status === 409)?.body;
      expect(loser).toMatchObject({ code: 'container-taken', params: { holder: winner } });
      expect(loser?.params?.['at']).toMatch(/Z$/);
    }
  });

  it('by 64 clients on 20 containers: nothing twice, every yes is a row, no allowance exceeded', async () => {
    const { cooperative, round } = await poolOf(20);
    // Each client is a household that tries containers in an order of its own until none is left or it may take no more.
    const got: { household: string; container: string }[] = [];
    const refusals = new Map<string, number>();
    const client = async (index: number): Promise<void> => {
      const who = index % 20;
      for (let step = 0; step < 20; step += 1) {
        const container = round.containers[(index * 7 + step * (1 + (index % 3) * 2)) % 20]!;
        const answer = await claim(cooperative, who, container.id);
        if (answer.status === 200) got.push({ household: cooperative.households[who]!.id, container: container.id });
        else refusals.set(answer.body.code ?? '', (refusals.get(answer.body.code ?? '') ?? 0) + 1);
        if (answer.body.code === 'over-allowance') return;
      }
    };
    await Promise.all(Array.from({ length: 64 }, (_, index) => client(index)));

    const rows = await rowsOf<{ household_id: string; container_id: string }>(
      `SELECT household_id, container_id FROM claim WHERE cooperative_id = $1 AND ended_at IS NULL`,
      [cooperative.id],
    );
    const acknowledged = got.map(({ household, container }) => `${household} ${container}`).sort();
    expect(rows.map((row) => `${row.household_id} ${row.container_id}`).sort()).toEqual(acknowledged);
    expect(new Set(got.map(({ container }) => container)).size).toBe(got.length);
    expect(got).toHaveLength(20);
    const balances = await rowsOf<{ balance: string }>(
      `SELECT balance FROM account WHERE cooperative_id = $1 AND book = 'portions' AND household_id IS NOT NULL`,
      [cooperative.id],
    );
    expect(balances).toHaveLength(20);
    expect(Math.min(...balances.map(({ balance }) => Number(balance)))).toBeGreaterThanOrEqual(-4_000_000);
    // It was a race: many came second, and nothing else went wrong.
    expect([...refusals.keys()].every((code) => ['container-taken', 'over-allowance'].includes(code))).toBe(true);
    expect(refusals.get('container-taken')).toBeGreaterThan(20);
  });

  it('by one household on many containers: together they never go over its limit', async () => {
    const { cooperative, round } = await poolOf(8);
    for (let trial = 0; trial < 5; trial += 1) {
      const answers = await Promise.all(round.containers.map(({ id }) => claim(cooperative, 0, id)));
      // +4 portions owed and 4 ahead allowed: exactly two containers of four.
      expect(answers.filter(({ status }) => status === 200)).toHaveLength(2);
      expect(answers.filter(({ body }) => body.code === 'over-allowance')).toHaveLength(6);
      const { id, client } = cooperative.households[0]!;
      for (const [index, { status }] of answers.entries()) {
        if (status !== 200) continue;
        const path = `${cooperative.path}/containers/${round.containers[index]?.id}/release`;
        await client.ok('POST', path, { householdId: id });
      }
    }
  });

  it('with the same key have one effect', async () => {
    const { cooperative, round } = await poolOf(2);
    const key = randomUUID();
    const id = round.containers[0]!.id;
    const answers = await Promise.all(Array.from({ length: 8 }, () => claim(cooperative, 0, id, key)));
    const done = answers.filter(({ status }) => status === 200);
    expect(done.length).toBeGreaterThan(0);
    expect(new Set(done.map(({ text }) => text)).size).toBe(1);
    const others = answers.filter(({ status }) => status !== 200);
    expect(others.every(({ body }) => body.code === 'idempotency-key-in-use')).toBe(true);
    const again = await claim(cooperative, 0, id, key);
    expect([again.status, again.text]).toEqual([200, done[0]?.text]);
    const claims = await rowsOf(`SELECT 1 FROM entry WHERE cooperative_id = $1 AND kind = 'claim'`, [cooperative.id]);
    expect(claims).toHaveLength(1);
  });
});

describe('the control: reading first and writing then', () => {
  it('gives the same container to several and takes a household over its limit', async () => {
    const { cooperative, round } = await poolOf(8);
    const given = new Map<string, number>();
    let overLimit = 0;
    const pool = new pg.Pool({ connectionString: api.database.ownerUrl, max: 16 });
    // In a table of its own, so that the books of the cooperative stay right.
    await pool.query('CREATE TABLE naive_container (id uuid PRIMARY KEY, holder uuid)');
    await pool.query('CREATE TABLE naive_account (household uuid PRIMARY KEY, balance int)');
    const naiveClaim = async (household: string, container: string): Promise<boolean> => {
      const client = await pool.connect();
      try {
        await client.query('BEGIN');
        const free = await client.query('SELECT 1 FROM naive_container WHERE id = $1 AND holder IS NULL', [container]);
        const account = await client.query<{ balance: number }>(
          'SELECT balance FROM naive_account WHERE household = $1',
          [household],
        );
        if (free.rowCount === 0 || account.rows[0]!.balance - 4 < -4) {
          await client.query('ROLLBACK');
          return false;
        }
        await client.query('UPDATE naive_container SET holder = $2 WHERE id = $1', [container, household]);
        await client.query('UPDATE naive_account SET balance = balance - 4 WHERE household = $1', [household]);
        await client.query('COMMIT');
        return true;
      } finally {
        client.release();
      }
    };
    for (let trial = 0; trial < 20; trial += 1) {
      await pool.query('TRUNCATE naive_container, naive_account');
      for (const { id } of round.containers) await pool.query('INSERT INTO naive_container VALUES ($1)', [id]);
      for (const { id } of cooperative.households) await pool.query('INSERT INTO naive_account VALUES ($1, 4)', [id]);
      const asked = round.containers.flatMap(({ id }) =>
        [0, 1].map((who) => ({ household: cooperative.households[who]!.id, id })),
      );
      const answers = await Promise.all(asked.map(({ household, id }) => naiveClaim(household, id)));
      for (const { id } of round.containers) {
        const times = asked.filter((one, index) => one.id === id && answers[index]).length;
        if (times > 1) given.set(`${trial} ${id}`, times);
      }
      const { rows } = await pool.query('SELECT 1 FROM naive_account WHERE balance < -4');
      overLimit += rows.length;
    }
    await pool.end();
    expect(given.size).toBeGreaterThan(0);
    expect(overLimit).toBeGreaterThan(0);
  });
});
