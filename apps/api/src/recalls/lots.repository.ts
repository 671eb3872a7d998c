import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { batchLotChoices, lot } from '@frostmoot/contract';
import type { z } from 'zod';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type LotAnswer = z.infer<typeof lot>;
const MOST = 200;
/** Of the lots of an ingredient that came with earlier rounds: those before these are used up, as a rule. */
const MOST_EARLIER = 20;

const shown = {
  id: true,
  code: true,
  bestBefore: true,
  receiptLineId: true,
  ingredient: { select: { id: true, name: true } },
  receiptLine: { select: { receipt: { select: { boughtOn: true, round: { select: { number: true } } } } } },
} as const;
interface LotRow {
  id: string;
  code: string;
  bestBefore: Date | null;
  receiptLineId: string;
  ingredient: { id: string; name: string };
  receiptLine: { receipt: { boughtOn: Date; round: { number: number } } };
}
const answerOf = ({ receiptLine: { receipt }, bestBefore, ...row }: LotRow): LotAnswer => ({
  ...row,
  bestBefore: bestBefore === null ? null : fromDate(bestBefore),
  boughtOn: fromDate(receipt.boughtOn),
  roundNumber: receipt.round.number,
});

/** Lots of ingredients, and which of them went into which batch. */
@Injectable()
export class LotsRepository {
  async add(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    { receiptLineId, code, bestBefore }: { receiptLineId: string; code: string; bestBefore: string | null },
  ): Promise<LotAnswer> {
    const line = await tx.receiptLine.findUnique({
      where: { cooperativeId_id: { cooperativeId, id: receiptLineId } },
      select: { ingredientId: true },
    });
    if (!line?.ingredientId) throw new DomainError('not-found', 'There is no such line of goods');
    const lotDate = bestBefore === null ? null : toDate(bestBefore);
    const made = tx.ingredientLot.create({
      data: {
        ...{ cooperativeId, id: newId(), receiptLineId, ingredientId: line.ingredientId, code },
        ...{ bestBefore: lotDate, createdBy: personId },
      },
      select: shown,
    });
    const key = 'ingredient_lot_cooperative_id_receipt_line_id_code_key';
    return answerOf(await onUnique(made, { [key]: 'conflict' }, 'This lot is written down already'));
  }

  async list(tx: Tx, { cooperativeId }: Scope): Promise<LotAnswer[]> {
    const orderBy = [{ createdAt: 'desc' as const }, { id: 'desc' as const }];
    return (await tx.ingredientLot.findMany({ where: { cooperativeId }, orderBy, take: MOST, select: shown })).map(
      answerOf,
    );
  }

  async tellBatch(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    batchId: string,
    lotIds: readonly string[],
  ): Promise<void> {
    const wanted = [...new Set(lotIds)];
    const known = await tx.ingredientLot.count({ where: { cooperativeId, id: { in: wanted } } });
    const batch = await tx.batch.count({ where: { cooperativeId, id: batchId } });
    if (known < wanted.length || batch === 0) throw new DomainError('not-found', 'There is no such lot or batch');
    await tx.batchLot.createMany({
      data: wanted.map((lotId) => ({ cooperativeId, batchId, lotId, createdBy: personId })),
      skipDuplicates: true,
    });
  }

  async ofBatch(tx: Tx, { cooperativeId }: Scope, batchId: string): Promise<LotAnswer[]> {
    const where = { cooperativeId, batches: { some: { cooperativeId, batchId } } };
    return (await tx.ingredientLot.findMany({ where, orderBy: { id: 'asc' }, select: shown })).map(answerOf);
  }

  /** By ingredient of the batch's recipe and of what it uses inside; only those of which something was bought. */
  async choices(tx: Tx, scope: Scope, batchId: string): Promise<z.infer<typeof batchLotChoices>['ingredients']> {
    const { cooperativeId } = scope;
    const batch = await tx.batch.findUnique({
      where: { cooperativeId_id: { cooperativeId, id: batchId } },
      select: { roundId: true },
    });
    if (!batch) throw new DomainError('not-found', 'There is no such batch');
    const ingredients = await this.ingredientsOf(tx, scope, batchId);
    const ingredientIds = ingredients.map(({ id }) => id);
    const asked = { batchId, roundId: batch.roundId, ingredientIds };
    const lots = await this.withIds(tx, scope, await this.idsToChoose(tx, scope, asked));
    const told = new Set((await this.ofBatch(tx, scope, batchId)).map(({ id }) => id));
    const lines = await tx.receiptLine.findMany({
      where: { cooperativeId, ingredientId: { in: ingredientIds }, kind: 'goods', receipt: { roundId: batch.roundId } },
      select: { id: true, label: true, ingredientId: true, receipt: { select: { boughtOn: true } } },
      orderBy: { id: 'asc' },
    });
    const choices = ingredients.map((ingredient) => {
      const own = lots.filter((each) => each.ingredient.id === ingredient.id);
      return {
        ingredient,
        lots: own.map((each) => ({ ...each, told: told.has(each.id) })),
        receiptLines: lines
          .filter(({ ingredientId }) => ingredientId === ingredient.id)
          .map(({ id, label, receipt }) => ({ id, label, boughtOn: fromDate(receipt.boughtOn) })),
      };
    });
    return choices.filter((each) => each.lots.length + each.receiptLines.length > 0);
  }

  /** Every lot of the round and every lot told of the batch; of each ingredient the latest of the others. */
  private async idsToChoose(
    tx: Tx,
    { cooperativeId }: Scope,
    { batchId, roundId, ingredientIds }: { batchId: string; roundId: string; ingredientIds: string[] },
  ): Promise<string[]> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT o.id::text FROM (
        SELECT l.id, r.round_id = ${roundId}::uuid AS is_of_round,
          row_number() OVER (PARTITION BY l.ingredient_id, r.round_id = ${roundId}::uuid ORDER BY l.created_at DESC, l.id DESC) AS place
        FROM ingredient_lot l
        JOIN receipt_line i ON i.cooperative_id = l.cooperative_id AND i.id = l.receipt_line_id
        JOIN receipt r ON r.cooperative_id = i.cooperative_id AND r.id = i.receipt_id
        WHERE l.cooperative_id = ${cooperativeId}::uuid AND l.ingredient_id = ANY(${ingredientIds}::uuid[])) o
      WHERE o.is_of_round OR o.place <= ${MOST_EARLIER}
        OR EXISTS (SELECT FROM batch_lot t WHERE t.cooperative_id = ${cooperativeId}::uuid AND t.batch_id = ${batchId}::uuid AND t.lot_id = o.id)`;
    return rows.map(({ id }) => id);
  }

  private async withIds(tx: Tx, { cooperativeId }: Scope, ids: string[]): Promise<LotAnswer[]> {
    const orderBy = [{ createdAt: 'desc' as const }, { id: 'desc' as const }];
    const where = { cooperativeId, id: { in: ids } };
    return (await tx.ingredientLot.findMany({ where, orderBy, select: shown })).map(answerOf);
  }

  private ingredientsOf(tx: Tx, { cooperativeId }: Scope, batchId: string): Promise<{ id: string; name: string }[]> {
    return tx.$queryRaw<{ id: string; name: string }[]>`
      WITH RECURSIVE inside (version_id) AS (
        SELECT b.recipe_version_id FROM batch b WHERE b.cooperative_id = ${cooperativeId}::uuid AND b.id = ${batchId}::uuid
        UNION
        SELECT l.component_version_id FROM inside i
          JOIN recipe_line l ON l.cooperative_id = ${cooperativeId}::uuid AND l.recipe_version_id = i.version_id
          WHERE l.component_version_id IS NOT NULL
      )
      SELECT DISTINCT g.id::text, g.name FROM inside i
        JOIN recipe_line l ON l.cooperative_id = ${cooperativeId}::uuid AND l.recipe_version_id = i.version_id
        JOIN ingredient g ON g.cooperative_id = l.cooperative_id AND g.id = l.ingredient_id
        ORDER BY g.name, 1`;
  }

  async receiptLines(tx: Tx, { cooperativeId }: Scope) {
    const rows = await tx.$queryRaw<
      { id: string; label: string; ingredient_id: string; ingredient: string; bought_on: string; number: number }[]
    >`
      SELECT l.id::text, l.label, i.id::text AS ingredient_id, i.name AS ingredient, r.bought_on::text, o.number
      FROM receipt_line l
      JOIN receipt r ON r.cooperative_id = l.cooperative_id AND r.id = l.receipt_id
      JOIN round o ON o.cooperative_id = r.cooperative_id AND o.id = r.round_id
      JOIN ingredient i ON i.cooperative_id = l.cooperative_id AND i.id = l.ingredient_id
      WHERE l.cooperative_id = ${cooperativeId}::uuid AND l.kind = 'goods'
      ORDER BY r.bought_on DESC, l.id DESC LIMIT ${MOST}`;
    return rows.map(({ ingredient_id, ingredient, bought_on: boughtOn, number: roundNumber, id, label }) => ({
      ...{ id, label, boughtOn, roundNumber },
      ingredient: { id: ingredient_id, name: ingredient },
    }));
  }

  async batches(tx: Tx, { cooperativeId }: Scope) {
    return tx.$queryRaw<{ id: string; lotCode: string; dish: string; roundNumber: number }[]>`
      SELECT b.id::text, b.lot_code AS "lotCode", r.name AS dish, o.number AS "roundNumber" FROM batch b
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN round o ON o.cooperative_id = b.cooperative_id AND o.id = b.round_id
      WHERE b.cooperative_id = ${cooperativeId}::uuid AND b.state = 'made'
      ORDER BY o.number DESC, b.lot_code LIMIT ${MOST}`;
  }
}
