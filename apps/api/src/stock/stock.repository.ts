import { Injectable } from '@nestjs/common';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** What may be written of a container: how it ended, and where it lies. */
@Injectable()
export class StockRepository {
  household(
    tx: Tx,
    scope: Scope,
    householdId: string,
  ): Promise<{ id: string; name: string; freezerMl: number | null } | null> {
    return tx.household.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: householdId } },
      select: { id: true, name: true, freezerMl: true },
    });
  }

  async end(
    tx: Tx,
    scope: Scope,
    containerId: string,
    ending: { state: string; endedAt: Date | null; reason: string | null },
  ): Promise<void> {
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: containerId } },
      data: {
        state: ending.state,
        endedAt: ending.endedAt,
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
