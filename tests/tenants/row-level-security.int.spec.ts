import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type pg from 'pg';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildFullCooperative } from '../builders/full-cooperative.ts';
import { NOW } from '../builders/pantry.ts';

// What the database alone keeps apart, asked straight as the API's role, with none of the API's own checks in between.

interface TenantTable {
  name: string;
  column: string;
  guarded: boolean;
  policies: number;
}

describe('row-level security alone', () => {
  let api: Api;
  let theirs: BuiltCooperative;
  let mine: BuiltCooperative;
  let tables: TenantTable[];
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    theirs = await buildFullCooperative(api);
    mine = await buildCooperative(api);
    tables = await tenantTables(api);
  });
  afterAll(() => api.stop());

  /** As the API's role, inside a transaction that has this cooperative and this person set. */
  const asMember = <T>(
    cooperativeId: string | null,
    personId: string | null,
    work: (client: pg.Client) => Promise<T>,
  ): Promise<T> =>
    withClient(api.database.appUrl, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT set_config('app.cooperative_id', $1, true), set_config('app.person_id', $2, true)`, [
        cooperativeId ?? '',
        personId ?? '',
      ]);
      const result = await work(client);
      await client.query('ROLLBACK');
      return result;
    });
  const rowsOf = async (client: pg.Client, { name, column }: TenantTable, cooperativeId: string) => {
    const { rows } = await client.query(`SELECT count(*)::int AS found FROM "${name}" WHERE "${column}" = $1`, [
      cooperativeId,
    ]);
    return (rows[0] as { found: number }).found;
  };

  it('guards every table of a cooperative, for its owner as well', () => {
    expect(tables.length).toBeGreaterThan(30);
    expect(tables.filter(({ guarded, policies }) => !guarded || policies === 0)).toEqual([]);
  });

  it('is asked about tables that all hold something of the other cooperative', async () => {
    const empty = await withClient(api.database.ownerUrl, async (client) => {
      const found: string[] = [];
      for (const table of tables) if ((await rowsOf(client, table, theirs.id)) === 0) found.push(table.name);
      return found;
    });
    expect(empty).toEqual([]);
  });

  it('shows nothing of another cooperative, in any table', async () => {
    const seen = await asMember(mine.id, mine.households[0]?.personId ?? null, async (client) => {
      const found: string[] = [];
      for (const table of tables) if ((await rowsOf(client, table, theirs.id)) > 0) found.push(table.name);
      return found;
    });
    expect(seen).toEqual([]);
  });

  it('shows nothing at all to a transaction that has not said whose it is', async () => {
    const seen = await asMember(null, null, async (client) => {
      const found: string[] = [];
      for (const { name } of tables) {
        const { rows } = await client.query(`SELECT 1 FROM "${name}" LIMIT 1`);
        if (rows.length > 0) found.push(name);
      }
      return found;
    });
    expect(seen).toEqual([]);
  });

  it('shows a person who has not chosen a cooperative their own places and nothing else', async () => {
    const { personId } = mine.household('Birch');
    const seen = await asMember(null, personId, async (client) => {
      const found: Record<string, number> = {};
      for (const { name } of tables) {
        const { rows } = await client.query(`SELECT count(*)::int AS found FROM "${name}"`);
        found[name] = (rows[0] as { found: number }).found;
      }
      return found;
    });
    const some = Object.fromEntries(Object.entries(seen).filter(([, found]) => found > 0));
    expect(some).toEqual({ cooperative: 1, household: 1, membership: 1 });
  });

  it('changes and deletes nothing of another cooperative', async () => {
    for (const { name, column } of tables) {
      for (const statement of [
        `UPDATE "${name}" SET "${column}" = "${column}" WHERE "${column}" = $1`,
        `DELETE FROM "${name}" WHERE "${column}" = $1`,
      ]) {
        const outcome = await asMember(mine.id, null, (client) =>
          client.query(statement, [theirs.id]).then(
            ({ rowCount }) => rowCount,
            (error: { code?: string }) => error.code,
          ),
        );
        // 42501: not even the right to try.
        expect([name, statement.slice(0, 6), outcome === '42501' ? 0 : outcome]).toEqual([
          name,
          statement.slice(0, 6),
          0,
        ]);
      }
    }
  });

  it('lets nothing be added to another cooperative', async () => {
    for (const { name, column } of tables.filter((table) => table.column === 'cooperative_id')) {
      const outcome = await asMember(mine.id, null, async (client) => {
        const { rows } = await client.query<{ list: string }>(
          `SELECT string_agg(quote_ident(attname), ', ') AS list FROM pg_attribute
           WHERE attrelid = $1::regclass AND attnum > 0 AND NOT attisdropped AND attname <> $2`,
          [`public.${name}`, column],
        );
        const list = rows[0]?.list ?? '';
        // A row of my own cooperative, or an empty one, under the name of theirs.
        return client
          .query(
            `INSERT INTO "${name}" ("${column}", ${list}) SELECT $1, ${list} FROM (SELECT 1) one LEFT JOIN "${name}" t ON true LIMIT 1`,
            [theirs.id],
          )
          .then(
            () => 'added',
            (error: { code?: string; message: string }) => `${error.code} ${error.message}`,
          );
      });
      expect([name, outcome]).toEqual([name, expect.stringMatching(/^42501 .*(row-level security|permission denied)/)]);
    }
  });
});

/** Every table with a cooperative in it, out of the catalogue, and the cooperatives themselves. */
function tenantTables(api: Api): Promise<TenantTable[]> {
  return withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<TenantTable>(
      `SELECT c.relname AS name, a.attname AS column, c.relrowsecurity AND c.relforcerowsecurity AS guarded,
         (SELECT count(*)::int FROM pg_policy p WHERE p.polrelid = c.oid) AS policies
       FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND NOT a.attisdropped
       WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
         AND (a.attname = 'cooperative_id' OR (c.relname = 'cooperative' AND a.attname = 'id'))
       ORDER BY 1`,
    );
    return rows;
  });
}
