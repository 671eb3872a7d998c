import { Injectable } from '@nestjs/common';
import type { waiting } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Prisma } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { codeOf } from '../stock/container-code.ts';

export type WaitingView = z.infer<typeof waiting>;

const named = { select: { id: true, name: true } } as const;
const withAll = {
  household: named,
  recipe: named,
  container: {
    select: { id: true, number: true, portions: true, batch: { select: { lotCode: true, roundId: true } } },
  },
} satisfies Prisma.WaitingInclude;

type Row = Prisma.WaitingGetPayload<{ include: typeof withAll }>;

const viewOf = ({ id, household, recipe, state, container, keptUntil, createdAt, version }: Row): WaitingView => ({
  id,
  household,
  recipe,
  state: state as WaitingView['state'],
  since: createdAt.toISOString(),
  container: container && {
    id: container.id,
    code: codeOf(container.batch.lotCode, container.number),
    portions: container.portions,
  },
  keptUntil: keptUntil?.toISOString() ?? null,
  version,
});

/** Who waits for which dish. */
@Injectable()
export class WaitingRepository {
  /** Everybody in line, the first first. */
  async all(tx: Tx, { cooperativeId }: Scope): Promise<WaitingView[]> {
    const rows = await tx.waiting.findMany({
      where: { cooperativeId, endedAt: null },
      include: withAll,
      orderBy: [{ createdAt: 'asc' }, { id: 'asc' }],
    });
    return rows.map(viewOf);
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<WaitingView | null> {
    const row = await tx.waiting.findUnique({
      where: { cooperativeId_id: { cooperativeId, id } },
      include: withAll,
    });
    return row && viewOf(row);
  }

  async hasRecipe(tx: Tx, { cooperativeId }: Scope, id: string): Promise<boolean> {
    return (await tx.recipe.count({ where: { cooperativeId, id } })) > 0;
  }

  async hasHousehold(tx: Tx, { cooperativeId }: Scope, id: string): Promise<boolean> {
    return (await tx.household.count({ where: { cooperativeId, id } })) > 0;
  }

  async join(tx: Tx, scope: Scope, householdId: string, recipeId: string, now: Date): Promise<string> {
    const { cooperativeId, personId } = scope;
    const id = newId();
    await onUnique(
      tx.waiting.create({
        data: { cooperativeId, id, householdId, recipeId, createdBy: personId, createdAt: now },
        select: { id: true },
      }),
      { waiting_once: 'conflict' },
      'The household waits for this dish already',
    );
    return id;
  }

  /** Leaves the line from the version named; false when it has changed since. */
  async leave(tx: Tx, { cooperativeId }: Scope, id: string, version: number, now: Date): Promise<boolean> {
    const { count } = await tx.waiting.updateMany({
      where: { cooperativeId, id, version, endedAt: null },
      data: { state: 'left', endedAt: now, version: { increment: 1 } },
    });
    return count === 1;
  }

  /** Ends what was kept for too long and keeps what is free for the next in line. */
  async settle(tx: Tx, { cooperativeId }: Scope, now: Date): Promise<void> {
    await tx.$queryRaw`SELECT settle_waiting(${cooperativeId}::uuid, ${now}::timestamptz)::text`;
  }

  /** Whether something is kept for too long, or somebody has not been told yet. */
  async isDue(tx: Tx, { cooperativeId }: Scope, now: Date): Promise<boolean> {
    const due = await tx.waiting.count({
      where: { cooperativeId, state: 'kept', OR: [{ keptUntil: { lte: now } }, { toldAt: null }] },
    });
    return due > 0;
  }

  /** What is kept for a household that has not been told; nobody else tells it meanwhile. */
  async untold(tx: Tx, { cooperativeId }: Scope): Promise<(WaitingView & { roundId: string })[]> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT id::text FROM waiting WHERE cooperative_id = ${cooperativeId}::uuid AND state = 'kept' AND told_at IS NULL
        ORDER BY id FOR UPDATE SKIP LOCKED`;
    const found = await tx.waiting.findMany({
      where: { cooperativeId, id: { in: rows.map(({ id }) => id) } },
      include: withAll,
    });
    return found.map((row) => ({ ...viewOf(row), roundId: row.container?.batch.roundId ?? '' }));
  }

  async markTold(tx: Tx, { cooperativeId }: Scope, ids: readonly string[], now: Date): Promise<void> {
    await tx.waiting.updateMany({ where: { cooperativeId, id: { in: [...ids] } }, data: { toldAt: now } });
  }
}
