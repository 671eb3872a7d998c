import { Injectable } from '@nestjs/common';
import { recallFate, type RecallAnswer } from '@frostmoot/calc';
import type { recalledContainer } from '@frostmoot/contract';
import type { z } from 'zod';
import { Prisma } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type Source = 'lot' | 'receipt-line' | 'batch';
export type RecalledContainer = z.infer<typeof recalledContainer>;
export interface TracedBatch {
  id: string;
  lotCode: string;
  dish: string;
  sure: boolean;
  containers: number;
  portions: number;
}
export interface TracedContainer {
  id: string;
  code: string;
  dish: string;
  portions: number;
  roundId: string;
  sure: boolean;
  state: string;
  householdId: string | null;
}

interface Row {
  id: string;
  code: string;
  dish: string;
  portions: number;
  place: string;
  sure: boolean;
  household_id: string | null;
  household: string | null;
  state: string;
  answer: RecallAnswer | null;
  eaten_on: string | null;
  answered_at: Date | null;
}

/** Recalls and what was traced by them. */
@Injectable()
export class RecallsRepository {
  /** What a source is called; null when there is none. */
  async nameOf(
    tx: Tx,
    { cooperativeId }: Scope,
    source: Source,
    id: string,
  ): Promise<{ what: string; lotCode: string } | null> {
    const cooperative = Prisma.sql`${cooperativeId}::uuid`;
    const queries: Record<Source, Prisma.Sql> = {
      lot: Prisma.sql`SELECT i.name AS what, l.code AS "lotCode" FROM ingredient_lot l
        JOIN ingredient i ON i.cooperative_id = l.cooperative_id AND i.id = l.ingredient_id
        WHERE l.cooperative_id = ${cooperative} AND l.id = ${id}::uuid`,
      'receipt-line': Prisma.sql`SELECT l.label AS what, '' AS "lotCode" FROM receipt_line l
        WHERE l.cooperative_id = ${cooperative} AND l.id = ${id}::uuid AND l.ingredient_id IS NOT NULL`,
      batch: Prisma.sql`SELECT r.name AS what, b.lot_code AS "lotCode" FROM batch b
        JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
        JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
        WHERE b.cooperative_id = ${cooperative} AND b.id = ${id}::uuid`,
    };
    const rows = await tx.$queryRaw<{ what: string; lotCode: string }[]>(queries[source]);
    return rows[0] ?? null;
  }

  /** Batches that a source went into, with what came out of them. */
  batchesOf(tx: Tx, { cooperativeId }: Scope, source: Source, id: string): Promise<TracedBatch[]> {
    return tx.$queryRaw<TracedBatch[]>`
      SELECT b.id::text, b.lot_code AS "lotCode", r.name AS dish, t.sure, count(c.id)::int AS containers,
        coalesce(sum(c.portions), 0)::int AS portions
      FROM traced_batches(${cooperativeId}::uuid, ${source}, ${id}::uuid) t
      JOIN batch b ON b.cooperative_id = ${cooperativeId}::uuid AND b.id = t.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      LEFT JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id
      GROUP BY b.id, b.lot_code, r.name, t.sure ORDER BY b.lot_code`;
  }

  /** From a source to every container and its holder, in one statement. */
  containersOf(tx: Tx, { cooperativeId }: Scope, source: Source, id: string): Promise<TracedContainer[]> {
    return tx.$queryRaw<TracedContainer[]>`
      SELECT c.id::text, b.lot_code || '-' || c.number AS code, r.name AS dish, c.portions, b.round_id::text AS "roundId", t.sure, c.state,
        c.holder_household_id::text AS "householdId"
      FROM traced_batches(${cooperativeId}::uuid, ${source}, ${id}::uuid) t
      JOIN batch b ON b.cooperative_id = ${cooperativeId}::uuid AND b.id = t.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id
      ORDER BY c.id`;
  }

  async add(
    tx: Tx,
    { cooperativeId, personId: createdBy }: Scope,
    recall: {
      drill: boolean;
      source: Source;
      sourceId: string;
      what: string;
      lotCode: string;
      reason: string;
      reference: string;
      createdAt: Date;
    },
    batches: readonly TracedBatch[],
  ): Promise<string> {
    const id = newId();
    await tx.recall.create({ data: { cooperativeId, id, createdBy, ...recall }, select: { id: true } });
    await tx.recallBatch.createMany({
      data: batches.map(({ id: batchId, sure }) => ({ cooperativeId, recallId: id, batchId, sure })),
    });
    return id;
  }

  /** Takes what is sealed out of use; locked in id order, as everybody does. Gives those that were in the common freezer. */
  async takeOut(tx: Tx, { cooperativeId }: Scope, containerIds: readonly string[], now: Date): Promise<string[]> {
    await tx.$queryRaw`
      SELECT id FROM container WHERE cooperative_id = ${cooperativeId}::uuid AND id = ANY(${containerIds}::uuid[]) ORDER BY id FOR UPDATE`;
    const rows = await tx.$queryRaw<{ id: string }[]>`
      UPDATE container SET state = 'recalled', ended_at = ${now}, ended_reason = 'recall', version = version + 1
      WHERE cooperative_id = ${cooperativeId}::uuid AND id = ANY(${containerIds}::uuid[]) AND state = 'sealed'
      RETURNING CASE WHEN holder_household_id IS NULL THEN id::text END AS id`;
    return rows.flatMap(({ id }) => id ?? []);
  }

  async answer(
    tx: Tx,
    { cooperativeId, personId: createdBy }: Scope,
    recallId: string,
    answers: readonly { containerId: string; answer: RecallAnswer; eatenOn: Date | null }[],
    now: Date,
  ): Promise<void> {
    await tx.recallAnswer.createMany({
      data: answers.map((answer) => ({ cooperativeId, id: newId(), recallId, createdBy, createdAt: now, ...answer })),
    });
  }

  /** What was eaten is so in the freezer's figures as well; what was not comes out of use again. */
  async settleState(
    tx: Tx,
    { cooperativeId }: Scope,
    ids: readonly string[],
    state: 'eaten' | 'recalled',
  ): Promise<void> {
    await tx.container.updateMany({
      where: { cooperativeId, id: { in: [...ids] }, state: { in: ['eaten', 'recalled'], not: state } },
      data: { state, version: { increment: 1 } },
    });
  }

  async close(tx: Tx, { cooperativeId, personId: createdBy }: Scope, recallId: string, words: string, createdAt: Date) {
    await tx.recallClosed.create({ data: { cooperativeId, recallId, words, createdBy, createdAt } });
  }

  find(tx: Tx, { cooperativeId }: Scope, id: string) {
    return tx.recall.findUnique({ where: { cooperativeId_id: { cooperativeId, id } }, include: { closed: true } });
  }

  list(tx: Tx, { cooperativeId }: Scope) {
    return tx.recall.findMany({
      where: { cooperativeId },
      include: { closed: true },
      orderBy: [{ createdAt: 'desc' }, { id: 'desc' }],
      take: 100,
    });
  }

  /** Batches of a recall as they were traced. */
  batches(tx: Tx, { cooperativeId }: Scope, recallId: string): Promise<TracedBatch[]> {
    return tx.$queryRaw<TracedBatch[]>`
      SELECT b.id::text, b.lot_code AS "lotCode", r.name AS dish, t.sure, count(c.id)::int AS containers,
        coalesce(sum(c.portions), 0)::int AS portions
      FROM recall_batch t
      JOIN batch b ON b.cooperative_id = t.cooperative_id AND b.id = t.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      LEFT JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id
      WHERE t.cooperative_id = ${cooperativeId}::uuid AND t.recall_id = ${recallId}::uuid
      GROUP BY b.id, b.lot_code, r.name, t.sure ORDER BY b.lot_code`;
  }

  /** Containers of a recall with who holds them now and what became of them; of one household (null: the common freezer) or of all. */
  async containers(
    tx: Tx,
    { cooperativeId }: Scope,
    recallId: string,
    householdId?: string | null,
  ): Promise<RecalledContainer[]> {
    const whose =
      householdId === undefined
        ? Prisma.empty
        : Prisma.sql`AND c.holder_household_id IS NOT DISTINCT FROM ${householdId}::uuid`;
    const rows = await tx.$queryRaw<Row[]>`
      WITH newest AS (
        SELECT DISTINCT ON (a.container_id) a.container_id, a.answer, a.eaten_on, a.created_at FROM recall_answer a
          WHERE a.cooperative_id = ${cooperativeId}::uuid AND a.recall_id = ${recallId}::uuid
          ORDER BY a.container_id, a.created_at DESC, a.id DESC
      )
      SELECT c.id::text, b.lot_code || '-' || c.number AS code, r.name AS dish, c.portions, c.place, t.sure, h.id::text AS household_id,
        h.name AS household, c.state, n.answer, n.eaten_on::text, n.created_at AS answered_at
      FROM recall_batch t
      JOIN batch b ON b.cooperative_id = t.cooperative_id AND b.id = t.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id ${whose}
      LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
      LEFT JOIN newest n ON n.container_id = c.id
      WHERE t.cooperative_id = ${cooperativeId}::uuid AND t.recall_id = ${recallId}::uuid
      ORDER BY b.lot_code, c.number`;
    return rows.map((row) => ({
      ...{ id: row.id, code: row.code, dish: row.dish, portions: row.portions, place: row.place, sure: row.sure },
      household: row.household_id && row.household ? { id: row.household_id, name: row.household } : null,
      fate: recallFate(row),
      eatenOn: row.eaten_on,
      answeredAt: row.answered_at?.toISOString() ?? null,
    }));
  }

  /** How the notice of a recall fared with each household. */
  told(tx: Tx, { cooperativeId }: Scope, recallId: string) {
    return tx.notice.findMany({
      where: { cooperativeId, subjectId: recallId, kind: { in: ['recall', 'recall-drill'] } },
      select: {
        householdId: true,
        seen: { select: { personId: true, seenAt: true }, orderBy: { seenAt: 'asc' } },
        mails: { select: { mailedAt: true }, orderBy: { mailedAt: 'asc' }, take: 1 },
      },
    });
  }

  members(tx: Tx, { cooperativeId }: Scope) {
    return tx.membership.findMany({
      where: { cooperativeId },
      select: { householdId: true, roles: true, person: { select: { id: true, displayName: true } } },
      orderBy: { id: 'asc' },
    });
  }

  async suspect(
    tx: Tx,
    { cooperativeId, personId: createdBy }: Scope,
    suspicion: { containerId: string; householdId: string; reason: string; words: string; createdAt: Date },
  ): Promise<string> {
    const id = newId();
    await tx.suspicion.create({ data: { cooperativeId, id, createdBy, ...suspicion }, select: { id: true } });
    return id;
  }

  /** Suspicions, the newest first; of one household or of all. */
  async suspicions(tx: Tx, { cooperativeId }: Scope, householdId: string | null) {
    const rows = await tx.$queryRaw<
      {
        id: string;
        container_id: string;
        code: string;
        dish: string;
        batch_id: string;
        household_id: string;
        household: string;
        reason: 'warm' | 'mould' | 'smell' | 'other';
        words: string;
        created_at: Date;
      }[]
    >`
      SELECT s.id::text, s.container_id::text, b.lot_code || '-' || c.number AS code, r.name AS dish, b.id::text AS batch_id,
        h.id::text AS household_id, h.name AS household, s.reason, s.words, s.created_at
      FROM suspicion s
      JOIN container c ON c.cooperative_id = s.cooperative_id AND c.id = s.container_id
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN household h ON h.cooperative_id = s.cooperative_id AND h.id = s.household_id
      WHERE s.cooperative_id = ${cooperativeId}::uuid AND (${householdId}::uuid IS NULL OR s.household_id = ${householdId}::uuid)
      ORDER BY s.created_at DESC, s.id DESC LIMIT 50`;
    return rows.map((row) => ({
      id: row.id,
      container: { id: row.container_id, code: row.code, dish: row.dish, batchId: row.batch_id },
      household: { id: row.household_id, name: row.household },
      reason: row.reason,
      words: row.words,
      createdAt: row.created_at.toISOString(),
    }));
  }

  async toAnswer(tx: Tx, { cooperativeId }: Scope, householdId: string): Promise<Map<string, number>> {
    const rows = await tx.$queryRaw<{ id: string; n: number }[]>`
      SELECT t.recall_id::text AS id, count(*)::int AS n FROM recall_batch t
      JOIN container c ON c.cooperative_id = t.cooperative_id AND c.batch_id = t.batch_id
      WHERE t.cooperative_id = ${cooperativeId}::uuid AND c.holder_household_id = ${householdId}::uuid AND c.state IN ('sealed', 'recalled')
        AND NOT EXISTS (SELECT FROM recall_closed k WHERE k.cooperative_id = t.cooperative_id AND k.recall_id = t.recall_id)
        AND NOT EXISTS (SELECT FROM recall_answer a
          WHERE a.cooperative_id = t.cooperative_id AND a.recall_id = t.recall_id AND a.container_id = c.id)
      GROUP BY t.recall_id`;
    return new Map(rows.map(({ id, n }) => [id, n]));
  }
}
