import { Injectable } from '@nestjs/common';
import type { shareOut } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

type View = z.infer<typeof shareOut>;

/** On what terms a round's containers may be claimed, and what has been claimed before its share-out. */
@Injectable()
export class ClaimTermsRepository {
  async policy(tx: Tx, scope: Scope): Promise<{ claimAheadPortions: number; policy: View['policy'] }> {
    const row = await tx.cooperative.findUniqueOrThrow({
      where: { id: scope.cooperativeId },
      select: { claimAheadPortions: true, claimPolicy: true },
    });
    return { claimAheadPortions: row.claimAheadPortions, policy: row.claimPolicy as View['policy'] };
  }

  async window(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<View['window']> {
    const row = await tx.claimWindow.findUnique({ where: { cooperativeId_roundId: { cooperativeId, roundId } } });
    return row && { opensAt: row.opensAt.toISOString(), closesAt: row.closesAt.toISOString() };
  }

  async setWindow(tx: Tx, { cooperativeId }: Scope, roundId: string, window: View['window']): Promise<void> {
    if (window === null) {
      await tx.claimWindow.deleteMany({ where: { cooperativeId, roundId } });
      return;
    }
    const limits = { opensAt: new Date(window.opensAt), closesAt: new Date(window.closesAt) };
    await tx.claimWindow.upsert({
      where: { cooperativeId_roundId: { cooperativeId, roundId } },
      create: { cooperativeId, roundId, ...limits },
      update: { ...limits, version: { increment: 1 } },
    });
  }

  /** Claims on a round's containers before its share-out, the earliest first. */
  async earlyClaims(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<View['earlyClaims']> {
    const rows = await tx.earlyClaim.findMany({
      where: { cooperativeId, container: { cooperativeId, batch: { cooperativeId, roundId } } },
      include: { household: { select: { id: true, name: true } } },
      orderBy: { id: 'asc' },
    });
    return rows.map(({ containerId, household, createdAt }) => ({
      containerId,
      household,
      at: createdAt.toISOString(),
    }));
  }

  /** They end with the share-out, which gives each its container. */
  async endEarlyClaims(tx: Tx, { cooperativeId }: Scope, containerIds: readonly string[]): Promise<void> {
    await tx.earlyClaim.deleteMany({ where: { cooperativeId, containerId: { in: [...containerIds] } } });
  }
}
