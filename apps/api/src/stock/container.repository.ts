import { Injectable } from '@nestjs/common';
import { Prisma } from '../generated/prisma/client.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import type { ContainerCard } from './container-card.ts';

interface Row {
  id: string;
  code: string;
  dish: string;
  recipe_id: string;
  round_id: string;
  round_number: number;
  batch_id: string;
  portions: number;
  millilitres: number | null;
  best_before: string;
  holder_id: string | null;
  holder_name: string | null;
  state: ContainerCard['state'];
  claim: ContainerCard['claim'];
  offered: boolean;
  standing: ContainerCard['standing'];
  place: string;
  allergens: string[];
  not_declared: string[];
  version: number;
  ended_at: Date | null;
  ended_code: ContainerCard['endedCode'];
  ended_reason: string | null;
}

const cardOf = (row: Row): ContainerCard => ({
  id: row.id,
  code: row.code,
  dish: row.dish,
  recipeId: row.recipe_id,
  roundId: row.round_id,
  roundNumber: row.round_number,
  batchId: row.batch_id,
  portions: row.portions,
  millilitres: row.millilitres,
  bestBefore: row.best_before,
  holder: row.holder_id && row.holder_name ? { id: row.holder_id, name: row.holder_name } : null,
  holderId: row.holder_id,
  state: row.state,
  claim: row.claim,
  offered: row.offered,
  standing: row.standing,
  place: row.place,
  allergens: row.allergens,
  notDeclared: row.not_declared,
  version: row.version,
  endedAt: row.ended_at?.toISOString() ?? null,
  endedCode: row.ended_code,
  endedReason: row.ended_reason,
});

/** Containers, read in one statement whichever are asked for: the earliest best-before first, then by label. */
@Injectable()
export class ContainerRepository {
  /** Sealed and ended ones of a household, for its freezer. */
  ofHousehold(tx: Tx, scope: Scope, householdId: string, now: Date): Promise<ContainerCard[]> {
    return this.select(tx, scope, now, Prisma.sql`c.holder_household_id = ${householdId}::uuid`);
  }

  /** Sealed ones that households hold, everybody's. */
  held(tx: Tx, scope: Scope, now: Date): Promise<ContainerCard[]> {
    return this.select(tx, scope, now, Prisma.sql`c.holder_household_id IS NOT NULL AND c.state = 'sealed'`);
  }

  /** Every container of a round, whatever became of it. */
  ofRound(tx: Tx, scope: Scope, roundId: string, now: Date): Promise<ContainerCard[]> {
    return this.select(
      tx,
      scope,
      now,
      Prisma.sql`c.batch_id IN (SELECT b.id FROM batch b WHERE b.cooperative_id = ${scope.cooperativeId}::uuid AND b.round_id = ${roundId}::uuid)`,
    );
  }

  /** What is free in the common freezer: sealed, nobody's, of rounds that are shared out. */
  pool(tx: Tx, scope: Scope, now: Date): Promise<ContainerCard[]> {
    return this.select(
      tx,
      scope,
      now,
      Prisma.sql`c.holder_household_id IS NULL AND c.state = 'sealed' AND c.batch_id IN (
        SELECT b.id FROM batch b JOIN share_out s ON s.cooperative_id = b.cooperative_id AND s.round_id = b.round_id
        WHERE b.cooperative_id = ${scope.cooperativeId}::uuid AND s.state = 'confirmed')`,
    );
  }

  byIds(tx: Tx, scope: Scope, ids: readonly string[], now: Date): Promise<ContainerCard[]> {
    return this.select(tx, scope, now, Prisma.sql`c.id = ANY(${ids}::uuid[])`);
  }

  /** Locks containers until the transaction ends, in id order as everybody does, and gives what they are at that moment. Accounts are locked before. */
  async lock(tx: Tx, scope: Scope, ids: readonly string[], now: Date): Promise<ContainerCard[]> {
    await tx.$queryRaw`
      SELECT id FROM container WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ANY(${ids}::uuid[]) ORDER BY id FOR UPDATE`;
    return this.byIds(tx, scope, ids, now);
  }

  /** Subjects for which somebody of the household must not eat it; empty when it is fit. */
  async excludedSubjects(
    tx: Tx,
    scope: Scope,
    containerId: string,
    householdId: string,
    today: string,
  ): Promise<string[]> {
    const [row] = await tx.$queryRaw<[{ subjects: string[] }]>`
      SELECT excluded_subjects(${scope.cooperativeId}::uuid, ${containerId}::uuid, ${householdId}::uuid, ${today}::date) AS subjects`;
    return row.subjects;
  }

  /** Those of the containers that everybody of the household may eat. */
  async fitFor(tx: Tx, scope: Scope, ids: readonly string[], householdId: string, today: string): Promise<Set<string>> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT c.id::text FROM container c WHERE c.cooperative_id = ${scope.cooperativeId}::uuid AND c.id = ANY(${ids}::uuid[])
        AND excluded_subjects(c.cooperative_id, c.id, ${householdId}::uuid, ${today}::date) = '{}'`;
    return new Set(rows.map(({ id }) => id));
  }

  private async select(tx: Tx, scope: Scope, now: Date, which: Prisma.Sql): Promise<ContainerCard[]> {
    const cooperative = Prisma.sql`${scope.cooperativeId}::uuid`;
    const rows = await tx.$queryRaw<Row[]>`
      WITH RECURSIVE chosen AS (
        SELECT c.*, b.round_id, b.lot_code, b.recipe_version_id FROM container c
          JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
          WHERE c.cooperative_id = ${cooperative} AND ${which}
      ), made_of (root, version_id) AS (
        SELECT DISTINCT recipe_version_id, recipe_version_id FROM chosen
        UNION
        SELECT m.root, l.component_version_id FROM made_of m
          JOIN recipe_line l ON l.cooperative_id = ${cooperative} AND l.recipe_version_id = m.version_id
          WHERE l.component_version_id IS NOT NULL
      ), silent AS (
        SELECT m.root, array_agg(DISTINCT i.name ORDER BY i.name) AS names FROM made_of m
          JOIN recipe_line l ON l.cooperative_id = ${cooperative} AND l.recipe_version_id = m.version_id
          JOIN ingredient i ON i.cooperative_id = l.cooperative_id AND i.id = l.ingredient_id
          WHERE cardinality(i.allergens) = 0 AND cardinality(i.free_of) = 0
          GROUP BY m.root
      )
      SELECT c.id::text, c.lot_code || '-' || c.number AS code, r.name AS dish, r.id::text AS recipe_id, o.id::text AS round_id,
        o.number AS round_number, c.batch_id::text, c.portions, c.millilitres, c.best_before::text, h.id::text AS holder_id,
        h.name AS holder_name, c.state, cl.state AS claim, c.place, v.allergens, coalesce(s.names, '{}') AS not_declared, c.version,
        c.ended_at, c.ended_code, c.ended_reason,
        EXISTS (SELECT FROM swap_part p JOIN swap w ON w.cooperative_id = p.cooperative_id AND w.id = p.swap_id
          WHERE p.cooperative_id = ${cooperative} AND p.container_id = c.id AND w.state = 'proposed' AND w.open_until > ${now})
        OR EXISTS (SELECT FROM swap_ring_part p JOIN swap_ring w ON w.cooperative_id = p.cooperative_id AND w.id = p.ring_id
          WHERE p.cooperative_id = ${cooperative} AND p.container_id = c.id AND w.state = 'proposed' AND w.open_until > ${now}) AS offered,
        CASE
          WHEN w.by_holder IS NOT NULL THEN CASE WHEN w.by_holder THEN 'offered' ELSE 'asked' END
          WHEN EXISTS (SELECT FROM swap_ring_part p JOIN swap_ring g ON g.cooperative_id = p.cooperative_id AND g.id = p.ring_id
            WHERE p.cooperative_id = ${cooperative} AND p.container_id = c.id AND g.state = 'proposed' AND g.open_until > ${now}) THEN 'ring'
          WHEN EXISTS (SELECT FROM swap_offer f WHERE f.cooperative_id = ${cooperative} AND f.container_id = c.id AND f.ended_at IS NULL
            AND f.household_id = c.holder_household_id) THEN 'held-out'
        END AS standing
      FROM chosen c
      JOIN recipe_version v ON v.cooperative_id = c.cooperative_id AND v.id = c.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN round o ON o.cooperative_id = c.cooperative_id AND o.id = c.round_id
      LEFT JOIN LATERAL (SELECT bool_or(s.from_household_id = p.giver_household_id) AS by_holder FROM swap_part p
        JOIN swap s ON s.cooperative_id = p.cooperative_id AND s.id = p.swap_id
        WHERE p.cooperative_id = ${cooperative} AND p.container_id = c.id AND s.state = 'proposed' AND s.open_until > ${now}) w ON true
      LEFT JOIN silent s ON s.root = c.recipe_version_id
      LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
      LEFT JOIN claim cl ON cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.ended_at IS NULL
      ORDER BY c.best_before, c.lot_code, c.number`;
    return rows.map(cardOf);
  }
}
