import { Injectable } from '@nestjs/common';
import type { shareOutCorrection } from '@frostmoot/contract';
import type { z } from 'zod';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { codeOf } from '../stock/container-code.ts';

export type CorrectionView = z.infer<typeof shareOutCorrection>;

export interface NewCorrection {
  shareOutId: string;
  containerId: string;
  kind: CorrectionView['kind'];
  fromHouseholdId: string;
  toHouseholdId: string | null;
  reason: string;
}

const named = { select: { id: true, name: true } } as const;

/** What was corrected after a confirmation: facts that are never changed, and the moves that come with them. */
@Injectable()
export class CorrectionsRepository {
  async ofShareOut(tx: Tx, { cooperativeId }: Scope, shareOutId: string): Promise<CorrectionView[]> {
    const rows = await tx.shareOutCorrection.findMany({
      where: { cooperativeId, shareOutId },
      include: {
        from: named,
        to: named,
        container: {
          select: {
            id: true,
            number: true,
            portions: true,
            batch: { select: { lotCode: true, recipeVersion: { select: { recipe: { select: { name: true } } } } } },
          },
        },
      },
      orderBy: { id: 'asc' },
    });
    const people = await tx.person.findMany({
      where: { id: { in: rows.map(({ createdBy }) => createdBy) } },
      select: { id: true, displayName: true },
    });
    const names = new Map(people.map(({ id, displayName }) => [id, displayName]));
    return rows.map((row) => ({
      id: row.id,
      kind: row.kind as CorrectionView['kind'],
      container: {
        id: row.container.id,
        code: codeOf(row.container.batch.lotCode, row.container.number),
        dish: row.container.batch.recipeVersion.recipe.name,
        portions: row.container.portions,
      },
      from: row.from,
      to: row.to,
      reason: row.reason,
      at: row.createdAt.toISOString(),
      by: names.get(row.createdBy) ?? '',
    }));
  }

  async add(tx: Tx, { cooperativeId, personId }: Scope, correction: NewCorrection): Promise<string> {
    const id = newId();
    await tx.shareOutCorrection.create({ data: { cooperativeId, id, ...correction, createdBy: personId } });
    return id;
  }

  /** Ends the claim of whoever holds the container, and moves it to another household, or ends its life. */
  async move(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    { containerId, toHouseholdId, reason }: NewCorrection,
    now: Date,
  ): Promise<void> {
    if (toHouseholdId === null) {
      await tx.container.update({
        where: { cooperativeId_id: { cooperativeId, id: containerId } },
        data: { state: 'thrown-away', endedAt: now, endedReason: reason, version: { increment: 1 } },
        select: { id: true },
      });
      return;
    }
    await tx.claim.updateMany({
      where: { cooperativeId, containerId, endedAt: null },
      data: { state: 'released', endedAt: now },
    });
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId, id: containerId } },
      data: { holderHouseholdId: toHouseholdId, place: '', version: { increment: 1 } },
      select: { id: true },
    });
    await tx.claim.create({
      data: {
        cooperativeId,
        id: newId(),
        containerId,
        householdId: toHouseholdId,
        state: 'claimed',
        createdBy: personId,
      },
    });
  }
}
