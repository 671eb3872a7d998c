import { Injectable } from '@nestjs/common';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** A claim that a household has made on a container of the batch before the share-out. */
export interface EarlyClaimRow {
  household: { id: string; name: string };
  number: number;
  portions: number;
  createdBy: string;
  createdAt: Date;
}

/** Claims on containers of a batch that is counted anew. */
@Injectable()
export class EarlyClaimsRepository {
  /** In the order in which they were made. */
  async ofBatch(tx: Tx, { cooperativeId }: Scope, batchId: string): Promise<EarlyClaimRow[]> {
    const rows = await tx.earlyClaim.findMany({
      where: { cooperativeId, container: { cooperativeId, batchId } },
      include: {
        household: { select: { id: true, name: true } },
        container: { select: { number: true, portions: true } },
      },
      orderBy: [{ createdAt: 'asc' }, { id: 'asc' }],
    });
    return rows.map(({ household, container, createdBy, createdAt }) => ({
      household,
      ...container,
      createdBy,
      createdAt,
    }));
  }

  /** Puts a claim onto a container of the new count; false where the household's part of what is there by now does not reach for it. */
  async keep(
    tx: Tx,
    { cooperativeId }: Scope,
    { roundId, containerId, today }: { roundId: string; containerId: string; today: string },
    claim: EarlyClaimRow,
  ): Promise<boolean> {
    const [row] = await tx.$queryRaw<{ kept: boolean }[]>`
      SELECT keep_early_claim(${cooperativeId}::uuid, ${roundId}::uuid, ${containerId}::uuid, ${newId()}::uuid, ${claim.household.id}::uuid,
        ${claim.createdBy}::uuid, ${claim.createdAt}::timestamptz, ${today}::date) AS kept`;
    return row?.kept ?? false;
  }
}
