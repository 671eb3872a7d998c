import { Injectable } from '@nestjs/common';
import type { RoundDates, RoundStage } from '@frostmoot/calc';
import { DomainError } from '@frostmoot/calc';
import type { Round } from '../generated/prisma/client.ts';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface RoundRow extends RoundDates {
  id: string;
  number: number;
  stage: RoundStage;
  dinners: number;
  settledAt: string | null;
  version: number;
}

const rowOf = (row: Round): RoundRow => ({
  id: row.id,
  number: row.number,
  stage: row.stage as RoundStage,
  dinners: row.dinners,
  planUntil: fromDate(row.planUntil),
  buyOn: fromDate(row.buyOn),
  cookOn: fromDate(row.cookOn),
  shareOn: fromDate(row.shareOn),
  swapUntil: fromDate(row.swapUntil),
  settleOn: fromDate(row.settleOn),
  settledAt: row.settledAt?.toISOString() ?? null,
  version: row.version,
});

/** Rounds themselves; what belongs to one has its own repository. */
@Injectable()
export class RoundsRepository {
  async list(tx: Tx, { cooperativeId }: Scope): Promise<RoundRow[]> {
    return (await tx.round.findMany({ where: { cooperativeId }, orderBy: { number: 'desc' } })).map(rowOf);
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<RoundRow> {
    const row = await tx.round.findUnique({ where: { cooperativeId_id: { cooperativeId, id } } });
    if (!row) throw new DomainError('not-found', 'There is no such round');
    return rowOf(row);
  }

  /** The round, locked until the transaction ends: whatever belongs to it changes one after the other, and its stage stays. */
  async lock(tx: Tx, scope: Scope, id: string): Promise<RoundRow> {
    await tx.$queryRaw`
      SELECT 1 FROM round WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR NO KEY UPDATE`;
    return this.find(tx, scope, id);
  }

  /** The next round; its number follows the greatest one. */
  async create(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    { dinners, ...dates }: RoundDates & { dinners: number },
  ): Promise<RoundRow> {
    const { _max } = await tx.round.aggregate({ where: { cooperativeId }, _max: { number: true } });
    const days = Object.fromEntries(Object.entries(dates).map(([name, date]) => [name, toDate(date)]));
    const work = tx.round.create({
      data: {
        cooperativeId,
        id: newId(),
        number: (_max.number ?? 0) + 1,
        dinners,
        createdBy: personId,
        ...(days as Record<keyof RoundDates, Date>),
      },
    });
    const message = 'Somebody else has just started a round';
    return rowOf(await onUnique(work, { round_cooperative_id_number_key: 'conflict' }, message));
  }

  /** Takes the round on to its next version, and to a stage where one is given. */
  async bump(
    tx: Tx,
    { cooperativeId }: Scope,
    id: string,
    change: { stage?: RoundStage; settledAt?: Date } = {},
  ): Promise<void> {
    await tx.round.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: { ...change, version: { increment: 1 } },
    });
  }
}
