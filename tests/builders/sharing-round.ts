import { randomUUID } from 'node:crypto';
import type pg from 'pg';
import { withClient } from '../../tools/database.mjs';
import type { Api } from '../api/harness.ts';
import type { BuiltCooperative } from './cooperative.ts';

export interface DishDraft {
  name: string;
  /** portions of each container of its one batch */
  containers: number[];
  unfitFor?: string[];
  millilitres?: number;
  /** nothing has been entered yet of what came out */
  open?: boolean;
}
export interface ParticipantDraft {
  household: string;
  weight: string;
  mustNot?: string[];
  ratherNot?: string[];
  fromDate?: string;
}
export interface SharingRoundDraft {
  number?: number;
  stage?: 'cooking' | 'sharing';
  dishes: DishDraft[];
  participants: ParticipantDraft[];
  swapUntil?: string;
}

export interface BuiltContainer {
  id: string;
  code: string;
  dish: string;
  recipeId: string;
  portions: number;
}
export interface BuiltRound {
  id: string;
  number: number;
  containers: BuiltContainer[];
  batches: Record<string, string>;
}

/** A round with what was cooked in the common freezer, ready to be shared out; written straight into the database. */
export function buildSharingRound(
  api: Api,
  cooperative: BuiltCooperative,
  draft: SharingRoundDraft,
): Promise<BuiltRound> {
  return withClient(api.database.ownerUrl, async (client) => {
    const round = { id: randomUUID(), number: draft.number ?? 1 };
    await client.query(
      `INSERT INTO round (cooperative_id, id, number, stage, dinners, plan_until, buy_on, cook_on, share_on, swap_until, settle_on, created_by)
       VALUES ($1, $2, $3, $4, 2, '2026-11-20', '2026-11-21', '2026-11-22', '2026-11-23', $5, '2026-12-31', $6)`,
      [
        cooperative.id,
        round.id,
        round.number,
        draft.stage ?? 'sharing',
        draft.swapUntil ?? '2026-12-30',
        cooperative.households[0]?.personId,
      ],
    );
    for (const { household, weight, mustNot = [], ratherNot = [], fromDate = '2026-11-16' } of draft.participants) {
      const { id: householdId, personId } = cooperative.household(household);
      await client.query(
        `INSERT INTO round_participant (cooperative_id, id, round_id, household_id, from_date, weight, diners, must_not, rather_not, created_by)
         VALUES ($1, $2, $3, $4, $5, $6, 2, $7, $8, $9)`,
        [cooperative.id, randomUUID(), round.id, householdId, fromDate, weight, mustNot, ratherNot, personId],
      );
    }
    const built: BuiltRound = { ...round, containers: [], batches: {} };
    for (const [index, dish] of draft.dishes.entries()) await buildDish(client, cooperative, built, index, dish);
    return built;
  });
}

async function recipeOf(client: pg.Client, cooperative: BuiltCooperative, dish: DishDraft): Promise<[string, string]> {
  const { rows } = await client.query<{ recipe: string; version: string }>(
    `SELECT r.id AS recipe, v.id AS version FROM recipe r JOIN recipe_version v ON v.cooperative_id = r.cooperative_id AND v.recipe_id = r.id
     WHERE r.cooperative_id = $1 AND r.name = $2`,
    [cooperative.id, dish.name],
  );
  if (rows[0]) return [rows[0].recipe, rows[0].version];
  const [recipe, version] = [randomUUID(), randomUUID()];
  await client.query(`INSERT INTO recipe (cooperative_id, id, name) VALUES ($1, $2, $3)`, [
    cooperative.id,
    recipe,
    dish.name,
  ]);
  await client.query(
    `INSERT INTO recipe_version (cooperative_id, id, recipe_id, number, makes_quantity, makes_unit, portions, container_plan, months, months_source,
       steps, allergens, unfit_for, created_by)
     VALUES ($1, $2, $3, 1, '8', 'each', 8, '[]', 3, 'made up for a test', '[]', $4, $4, $5)`,
    [cooperative.id, version, recipe, dish.unfitFor ?? [], cooperative.households[0]?.personId],
  );
  return [recipe, version];
}

async function buildDish(
  client: pg.Client,
  cooperative: BuiltCooperative,
  round: BuiltRound,
  index: number,
  dish: DishDraft,
): Promise<void> {
  const [recipeId, versionId] = await recipeOf(client, cooperative, dish);
  const batchId = randomUUID();
  const lotCode = `R${round.number}-${String.fromCharCode(65 + index)}1`;
  const portions = dish.containers.reduce((sum, size) => sum + size, 0);
  await client.query(
    `INSERT INTO round_dish (cooperative_id, id, round_id, recipe_version_id, batches) VALUES ($1, $2, $3, $4, 1)`,
    [cooperative.id, randomUUID(), round.id, versionId],
  );
  await client.query(
    `INSERT INTO batch (cooperative_id, id, round_id, recipe_version_id, lot_code, planned_portions, state, actual_portions, frozen_on)
     VALUES ($1, $2, $3, $4, $5, 8, $6, $7, $8)`,
    [
      cooperative.id,
      batchId,
      round.id,
      versionId,
      lotCode,
      ...(dish.open ? ['planned', null, null] : ['made', portions, '2026-11-22']),
    ],
  );
  round.batches[dish.name] = batchId;
  if (dish.open) return;
  for (const [at, size] of dish.containers.entries()) {
    const id = randomUUID();
    await client.query(
      `INSERT INTO container (cooperative_id, id, batch_id, number, portions, millilitres, best_before) VALUES ($1, $2, $3, $4, $5, $6, '2027-02-22')`,
      [cooperative.id, id, batchId, at + 1, size, dish.millilitres ?? null],
    );
    round.containers.push({ id, code: `${lotCode}-${at + 1}`, dish: dish.name, recipeId, portions: size });
  }
}
