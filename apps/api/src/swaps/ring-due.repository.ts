import { Injectable } from '@nestjs/common';
import { fromDate, toDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** Which rounds wait for the search for rings before their containers are collected. */
@Injectable()
export class RingDueRepository {
  /** Rounds whose swap days have not ended and that were neither looked through nor are in the queue for it. */
  async unplanned(tx: Tx, scope: Scope, today: string, kind: string): Promise<{ id: string; swapUntil: string }[]> {
    const rows = await tx.$queryRaw<{ id: string; swap_until: Date }[]>`
      SELECT r.id::text, r.swap_until FROM round r
      WHERE r.cooperative_id = ${scope.cooperativeId}::uuid AND r.stage = 'sharing' AND r.swap_until >= ${today}::date
        AND NOT EXISTS (SELECT FROM swap_ring_search s WHERE s.cooperative_id = r.cooperative_id AND s.round_id = r.id)
        AND NOT EXISTS (SELECT FROM job j WHERE j.cooperative_id = r.cooperative_id AND j.kind = ${kind} AND j.subject_id = r.id
          AND j.state IN ('queued', 'running'))
      ORDER BY r.id`;
    return rows.map((row) => ({ id: row.id, swapUntil: fromDate(row.swap_until) }));
  }

  /** The last swap day of a round that nobody has looked through yet, or null. */
  async waiting(tx: Tx, { cooperativeId }: Scope, id: string): Promise<string | null> {
    const round = await tx.round.findFirst({
      where: { cooperativeId, id, ringSearch: null },
      select: { swapUntil: true },
    });
    return round && fromDate(round.swapUntil);
  }

  /** The last swap days of rounds that are being shared. */
  async swapDays(tx: Tx, { cooperativeId }: Scope, today: string): Promise<string[]> {
    const rounds = await tx.round.findMany({
      where: { cooperativeId, stage: 'sharing', swapUntil: { gte: toDate(today) } },
      select: { swapUntil: true },
    });
    return rounds.map(({ swapUntil }) => fromDate(swapUntil));
  }

  /** Keeps that a round was looked through; once, whoever was first. */
  async searched(tx: Tx, { cooperativeId, personId }: Scope, roundId: string): Promise<void> {
    await tx.swapRingSearch.createMany({
      data: [{ cooperativeId, roundId, createdBy: personId }],
      skipDuplicates: true,
    });
  }
}
