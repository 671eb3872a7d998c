import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { swap } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { BuyingRound } from '../builders/buying-round.ts';
import { buildCooperative } from '../builders/cooperative.ts';
import { NOW } from '../builders/pantry.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import type { BrokenInvariant } from './test-database.ts';

type Swap = z.infer<typeof swap>;

describe('the view of broken invariants', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    const buying = await BuyingRound.build(api);
    expect((await buying.enter(buying.receipt('Mill', 'Birch', buying.goods('Mill')))).status).toBe(201);

    const cooperative = await buildCooperative(api, {
      name: 'Sharing',
      households: [{ name: 'Ash' }, { name: 'Elm' }, { name: 'Fir' }],
    });
    const { path } = cooperative;
    const household = (name: string) => cooperative.household(name);
    const round = await buildSharedRound(api, cooperative, {
      dishes: [{ name: 'Stew', containers: [2, 1, 2, 2, 2, 2], unfitFor: ['milk'] }],
      participants: ['Ash', 'Elm'].map((name) => ({ household: name, weight: '1' })),
    });
    const swapOf = (give: number): Promise<Swap> =>
      household('Ash').client.ok('POST', `${path}/swaps`, {
        fromHouseholdId: household('Ash').id,
        toHouseholdId: household('Elm').id,
        giveContainerIds: [round.of('Ash')[give]!.id],
        getContainerIds: [round.of('Elm')[give]!.id],
      });
    const [done, open] = [await swapOf(0), await swapOf(1)];
    await household('Elm').client.ok(
      'POST',
      `${path}/swaps/${done.id}/answer`,
      { answer: 'accept' },
      { ifMatch: done.version },
    );
    expect(open.state).toBe('proposed');
    const { id: pooled } = round.of('Ash')[2]!;
    await household('Ash').client.ok('POST', `${path}/containers/${pooled}/release`, {
      householdId: household('Ash').id,
    });
    await household('Elm').client.ok('POST', `${path}/containers/${pooled}/claim`, {
      householdId: household('Elm').id,
    });
  });
  afterAll(() => api.stop());

  /** The rules that a change breaks, made past every trigger and taken back again. */
  const brokenBy = (...statements: string[]): Promise<string[]> =>
    withClient(api.database.ownerUrl, async (client) => {
      await client.query('BEGIN');
      const tables =
        'posting entry account container receipt receipt_line claim swap swap_part share_out diner_restriction round_participant recipe_version';
      for (const table of tables.split(' ')) await client.query(`ALTER TABLE ${table} DISABLE TRIGGER USER`);
      for (const statement of statements) expect((await client.query(statement)).rowCount).toBeGreaterThan(0);
      const { rows } = await client.query<BrokenInvariant>('SELECT * FROM broken_invariant');
      await client.query('ROLLBACK');
      return [...new Set(rows.map(({ rule }) => rule))];
    });
  const one = (table: string, where = 'true'): string => `(SELECT id FROM ${table} WHERE ${where} ORDER BY id LIMIT 1)`;
  const liveBox = `(SELECT container_id FROM claim WHERE ended_at IS NULL ORDER BY id LIMIT 1)`;
  const swapped = `(SELECT p.container_id FROM swap_part p JOIN swap s ON s.id = p.swap_id WHERE s.state = 'done' LIMIT 1)`;
  const otherThan = (column: string): string =>
    `(SELECT h.id FROM household h WHERE h.cooperative_id = t.cooperative_id AND h.id <> t.${column} ORDER BY h.id LIMIT 1)`;

  it('reads the view of every area', async () => {
    const left = await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `SELECT viewname FROM pg_views WHERE schemaname = 'public' AND viewname LIKE 'broken\\_invariant\\_%'
           AND position('FROM ' || viewname IN pg_get_viewdef('broken_invariant'::regclass)) = 0`,
      ),
    );
    expect(left.rows).toEqual([]);
  });

  it('is empty for what the API has done', async () => {
    expect(await brokenBy('SELECT 1')).toEqual([]);
  });

  it.each([
    ['entry-balances', `UPDATE posting SET amount = amount + 1 WHERE id = ${one('posting')}`],
    ['entry-has-postings', `DELETE FROM posting WHERE entry_id = ${one('entry')}`],
    ['balance-is-sum-of-postings', `UPDATE account SET balance = balance + 1 WHERE id = ${one('account')}`],
    ['batch-portions-in-containers', `UPDATE container SET portions = portions + 1 WHERE id = ${one('container')}`],
    ['receipt-is-sum-of-lines', `UPDATE receipt SET total_minor = total_minor + 1`],
    ['split-sums-to-line', `UPDATE receipt_line SET amount_minor = amount_minor + 1 WHERE id = ${one('receipt_line')}`],
    ['receipt-in-books', `UPDATE receipt t SET paid_by_household_id = ${otherThan('paid_by_household_id')}`],
    [
      'live-claim-is-holder',
      `UPDATE container t SET holder_household_id = ${otherThan('holder_household_id')} WHERE id = ${liveBox}`,
    ],
    [
      'held-container-has-claim',
      `UPDATE claim SET state = 'released', ended_at = now() WHERE container_id = ${liveBox}`,
    ],
    ['holder-may-eat', `UPDATE round_participant SET must_not = '{milk}'`],
    [
      'holder-may-eat',
      `INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by, created_at)
       SELECT cooperative_id, gen_random_uuid(), id, 'milk', 'hard', id, now() - interval '1 hour' FROM diner ON CONFLICT DO NOTHING`,
    ],
    [
      'claimer-takes-part',
      `DELETE FROM round_participant WHERE household_id = (SELECT household_id FROM claim WHERE balance_after IS NOT NULL)`,
    ],
    ['done-swap-moved', `UPDATE swap SET state = 'done' WHERE state = 'proposed'`],
    ['done-swap-in-books', `UPDATE container SET portions = portions + 1 WHERE id = ${swapped}`],
    ['done-swap-in-books', `UPDATE swap SET state = 'done' WHERE state = 'proposed'`],
    ['done-swap-in-books', `UPDATE entry SET document_id = NULL WHERE kind = 'swap'`],
    ['other-swap-moved-nothing', `UPDATE swap SET state = 'declined' WHERE state = 'done'`],
    ['confirmed-share-out-in-books', `UPDATE entry SET document_id = NULL WHERE kind = 'share-out'`],
    ['confirmed-share-out-set-aside', `DELETE FROM claim WHERE state = 'held' AND ended_at IS NULL`],
  ])('says %s after %s', async (rule, statement) => {
    expect(await brokenBy(statement)).toContain(rule);
  });

  it('says nothing of what is learnt after a container was taken', async () => {
    const later = `INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by, created_at)
       SELECT cooperative_id, gen_random_uuid(), id, 'milk', 'hard', id, now() FROM diner ON CONFLICT DO NOTHING`;
    expect(await brokenBy(later)).toEqual([]);
  });

  const declared = (since: string): string[] => [
    `INSERT INTO ingredient (cooperative_id, id, name, base_unit, allergens, free_of, tags)
     SELECT id, gen_random_uuid(), 'Cubes', 'g', '{}', '{}', '{}' FROM cooperative WHERE name = 'Sharing'`,
    `INSERT INTO declared_later (cooperative_id, id, recipe_version_id, ingredient_id, allergens, unfit_for, created_by, created_at)
     SELECT v.cooperative_id, gen_random_uuid(), v.id, i.id, '{celery}', '{celery}', i.id, ${since}
     FROM recipe_version v JOIN ingredient i ON i.cooperative_id = v.cooperative_id AND i.name = 'Cubes'`,
  ];
  const grown = `UPDATE recipe_version SET allergens = allergens || '{celery}', unfit_for = unfit_for || '{celery}'`;
  const avoided = `UPDATE round_participant SET must_not = '{celery}'`;

  it('says nothing of what was declared after a container was taken, and of what before it does', async () => {
    expect(await brokenBy(...declared('now()'), grown, avoided)).toEqual([]);
    expect(await brokenBy(...declared(`now() - interval '1 hour'`), grown, avoided)).toEqual(['holder-may-eat']);
  });

  it('says which version has lost what was declared', async () => {
    expect(await brokenBy(...declared('now()'))).toEqual(['declared-later-is-in-version']);
  });
});
