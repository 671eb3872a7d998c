import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { RecallsRepository } from '../../apps/api/src/recalls/recalls.repository.ts';
import { UnitOfWork } from '../../apps/api/src/platform/db/unit-of-work.ts';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { actorOf } from '../jobs/counting-jobs.ts';

const BATCHES = 1000;
const PER_BATCH = 100;
const RECALLED = 20;

describe('tracing in a cooperative of 100,000 containers', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let lotId: string;
  beforeAll(async () => {
    api = await startApi();
    cooperative = await buildCooperative(api);
    const shared = await buildSharedRound(api, cooperative, {
      number: 1,
      dishes: [{ name: 'Stew', containers: [4] }],
      participants: [{ household: 'Alder', weight: '1' }],
    });
    const { coordinator, path } = cooperative;
    const { id: ingredientId } = await coordinator.ok<{ id: string }>('POST', `${path}/ingredients`, {
      name: 'Mince',
      baseUnit: 'g',
    });
    lotId = randomUUID();
    const [lineId, receiptId, sellerId] = [randomUUID(), randomUUID(), randomUUID()];
    await withClient(api.database.ownerUrl, async (client) => {
      const run = (sql: string, values: unknown[]) => client.query(sql, values);
      const c = cooperative.id;
      const alder = cooperative.household('Alder').id;
      await run(`INSERT INTO seller (cooperative_id, id, name) VALUES ($1, $2, 'Mill')`, [c, sellerId]);
      await run(
        `INSERT INTO receipt (cooperative_id, id, round_id, seller_id, paid_by_household_id, bought_on, total_minor, created_by)
         VALUES ($1, $2, $3, $4, $5, '2026-11-18', 0, $5)`,
        [c, receiptId, shared.id, sellerId, alder],
      );
      await run(
        `INSERT INTO receipt_line (cooperative_id, id, receipt_id, position, kind, ingredient_id, label, amount_minor, shares, amounts)
         VALUES ($1, $2, $3, 0, 'goods', $4, 'Mince', 0, '{}', '{}')`,
        [c, lineId, receiptId, ingredientId],
      );
      await run(
        `INSERT INTO ingredient_lot (cooperative_id, id, receipt_line_id, ingredient_id, code, created_by) VALUES ($1, $2, $3, $4, '4471', $5)`,
        [c, lotId, lineId, ingredientId, alder],
      );
      await run(
        `INSERT INTO batch (cooperative_id, id, round_id, recipe_version_id, lot_code, planned_portions, actual_portions, state, frozen_on)
         SELECT cooperative_id, gen_random_uuid(), round_id, recipe_version_id, 'T' || n, $2, $2, 'made', '2026-11-20'
         FROM batch, generate_series(1, $3::int) n WHERE cooperative_id = $1 AND lot_code NOT LIKE 'T%'`,
        [c, PER_BATCH * 4, BATCHES],
      );
      // Held by nobody: a claim for each would only make the test longer.
      await run(
        `INSERT INTO container (cooperative_id, id, batch_id, number, portions, best_before)
         SELECT cooperative_id, gen_random_uuid(), id, n, 4, '2027-02-20' FROM batch, generate_series(1, $2::int) n
         WHERE cooperative_id = $1 AND lot_code LIKE 'T%' ORDER BY batch.id, n`,
        [c, PER_BATCH],
      );
      await run(
        `INSERT INTO batch_lot (cooperative_id, batch_id, lot_id, created_by)
         SELECT cooperative_id, id, $2, $3 FROM batch WHERE cooperative_id = $1 AND lot_code LIKE 'T%' ORDER BY lot_code LIMIT $4::int`,
        [c, lotId, alder, RECALLED],
      );
      for (const table of ['container', 'batch', 'batch_lot', 'ingredient_lot', 'recipe_line', 'receipt_line']) {
        await client.query(`ANALYZE ${table}`);
      }
    });
  });
  afterAll(() => api.stop());

  it('reads the containers of the traced batches and not the others', async () => {
    const actor = actorOf(cooperative, 'Alder');
    const rows = api.app.get(RecallsRepository);
    const before = process.hrtime.bigint();
    const traced = await api.app.get(UnitOfWork).read(actor, (tx) => rows.containersOf(tx, actor, 'lot', lotId));
    const milliseconds = Number((process.hrtime.bigint() - before) / 1_000_000n);
    expect(traced).toHaveLength(RECALLED * PER_BATCH);
    expect(traced.every(({ sure }) => sure)).toBe(true);

    // Blocks and not time, since machines are noisy: fewer than the table has, which a scan of it would read.
    const plan = await withClient(api.database.appUrl, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT set_config('app.cooperative_id', $1, true)`, [cooperative.id]);
      const { rows: found } = await client.query<{ 'QUERY PLAN': [{ Plan: Record<string, number> }] }>(
        `EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) SELECT c.id, c.holder_household_id FROM traced_batches($1, 'lot', $2) t
         JOIN container c ON c.cooperative_id = $1 AND c.batch_id = t.batch_id`,
        [cooperative.id, lotId],
      );
      await client.query('ROLLBACK');
      return found[0]?.['QUERY PLAN'][0].Plan ?? {};
    });
    const blocks = (plan['Shared Hit Blocks'] ?? 0) + (plan['Shared Read Blocks'] ?? 0);
    const { rows: whole } = await withClient(api.database.ownerUrl, (client) =>
      client.query<{ blocks: number }>(`SELECT (pg_relation_size('container') / 8192)::int AS blocks`),
    );
    process.stdout.write(
      `traced ${traced.length} of ${BATCHES * PER_BATCH} containers in ${milliseconds} ms, ${blocks} blocks; the table has ${whole[0]?.blocks}\n`,
    );
    expect(blocks).toBeLessThan(whole[0]?.blocks ?? 0);
  });
});
