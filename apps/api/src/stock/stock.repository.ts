import { Injectable } from '@nestjs/common';
import { rational } from '@frostmoot/calc';
import type { Rational } from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** What may be written of a container: how it ended, and where it lies. */
@Injectable()
export class StockRepository {
  household(
    tx: Tx,
    scope: Scope,
    householdId: string,
  ): Promise<{ id: string; name: string; freezerMl: number | null; alertDays: number } | null> {
    return tx.household.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: householdId } },
      select: { id: true, name: true, freezerMl: true, alertDays: true },
    });
  }

  /** What a portion of each round cost: receipts over the portions that came of it; only rounds where both are known. */
  async roundCosts(tx: Tx, scope: Scope): Promise<Map<number, Rational>> {
    const rows = await tx.$queryRaw<{ number: number; spent: bigint; portions: bigint }[]>`
      SELECT o.number, spent.minor AS spent, made.portions FROM round o
      CROSS JOIN LATERAL (SELECT coalesce(sum(r.total_minor), 0)::bigint AS minor FROM receipt r
        WHERE r.cooperative_id = o.cooperative_id AND r.round_id = o.id) spent
      CROSS JOIN LATERAL (SELECT coalesce(sum(b.actual_portions), 0)::bigint AS portions FROM batch b
        WHERE b.cooperative_id = o.cooperative_id AND b.round_id = o.id) made
      WHERE o.cooperative_id = ${scope.cooperativeId}::uuid AND spent.minor > 0 AND made.portions > 0`;
    return new Map(rows.map(({ number, spent, portions }) => [number, rational.rational(spent, portions)]));
  }

  async end(
    tx: Tx,
    scope: Scope,
    containerId: string,
    ending: { state: string; endedAt: Date | null; code: string | null; reason: string | null },
  ): Promise<void> {
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: containerId } },
      data: {
        state: ending.state,
        endedAt: ending.endedAt,
        endedCode: ending.code,
        endedReason: ending.reason,
        version: { increment: 1 },
      },
      select: { id: true },
    });
  }

  /** Says where it lies; what has a place at home has been collected. */
  async move(tx: Tx, scope: Scope, containerId: string, place: string): Promise<void> {
    const { cooperativeId } = scope;
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId, id: containerId } },
      data: { place, version: { increment: 1 } },
      select: { id: true },
    });
    if (place !== '') {
      await tx.claim.updateMany({
        where: { cooperativeId, containerId, state: { in: ['held', 'claimed'] } },
        data: { state: 'collected' },
      });
    }
  }
}
