import { withClient } from '../../tools/database.mjs';
import type { Api } from '../api/harness.ts';
import { until } from '../builders/until.ts';

/** How many of the API's connections wait for a lock; asked as its own role, since no other sees what they do. */
const waiting = (api: Api) =>
  withClient(api.database.appUrl, async (client) => {
    const { rows } = await client.query<{ waiting: number }>(
      `SELECT count(*)::int AS waiting FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`,
    );
    return rows[0]?.waiting ?? 0;
  });

/**
 * The second begins while the first is under way: a row that the first writes in the end is held until the second waits as well, or has ended without waiting. Row:
 * table and id.
 */
export function inside<A, B>(
  api: Api,
  [table, id]: [string, string],
  first: () => Promise<A>,
  second: () => Promise<B>,
): Promise<[A, B]> {
  return withClient(api.database.ownerUrl, async (holder) => {
    await holder.query('BEGIN');
    await holder.query(`SELECT FROM ${table} WHERE id = $1 FOR UPDATE`, [id]);
    const begun = first();
    await until(async () => (await waiting(api)) >= 1);
    let hasEnded = false;
    const other = second().finally(() => (hasEnded = true));
    await until(async () => hasEnded || (await waiting(api)) >= 2);
    await holder.query('COMMIT');
    return Promise.all([begun, other]);
  });
}
