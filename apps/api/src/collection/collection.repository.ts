import { Injectable } from '@nestjs/common';
import type { saveCollection } from '@frostmoot/contract';
import type { z } from 'zod';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

type Typed = z.infer<typeof saveCollection>;

export interface CollectionRound {
  id: string;
  number: number;
  isShared: boolean;
}

/** Where and when a round is collected, and what the households chose. */
@Injectable()
export class CollectionRepository {
  async round(tx: Tx, scope: Scope, roundId: string): Promise<CollectionRound | null> {
    const row = await tx.round.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: roundId } },
      select: { id: true, number: true, shareOuts: { where: { state: 'confirmed' }, select: { id: true } } },
    });
    return row && { id: row.id, number: row.number, isShared: row.shareOuts.length > 0 };
  }

  /** Households in whose kitchens the round is cooked. */
  async kitchens(tx: Tx, scope: Scope, roundId: string): Promise<string[]> {
    const rows = await tx.cookDay.findMany({
      where: { cooperativeId: scope.cooperativeId, roundId },
      select: { kitchenHouseholdId: true },
    });
    return rows.map(({ kitchenHouseholdId }) => kitchenHouseholdId);
  }

  ofRound(tx: Tx, scope: Scope, roundId: string) {
    return tx.collection.findUnique({
      where: { cooperativeId_roundId: { cooperativeId: scope.cooperativeId, roundId } },
      include: {
        slots: { orderBy: [{ startsAt: 'asc' }, { id: 'asc' }] },
        choices: { include: { delegate: { select: { id: true, name: true } } } },
      },
    });
  }

  /** Holds it still for a change. */
  async lock(tx: Tx, scope: Scope, roundId: string): Promise<void> {
    await tx.$queryRaw`SELECT id FROM collection WHERE cooperative_id = ${scope.cooperativeId}::uuid AND round_id = ${roundId}::uuid FOR UPDATE`;
  }

  async create(tx: Tx, scope: Scope, roundId: string, typed: Typed): Promise<void> {
    const { cooperativeId, personId } = scope;
    const id = newId();
    await onUnique(
      tx.collection.create({
        data: { cooperativeId, id, roundId, createdBy: personId, ...fieldsOf(typed) },
        select: { id: true },
      }),
      { collection_cooperative_id_round_id_key: 'conflict' },
      'Somebody else has set this collection meanwhile',
    );
    await this.addSlots(tx, scope, id, typed.slots);
  }

  /** Changes it; a slot that goes takes the choices of it along, one that stays keeps them. */
  async change(tx: Tx, scope: Scope, collectionId: string, known: readonly string[], typed: Typed): Promise<void> {
    const { cooperativeId } = scope;
    await tx.collection.update({
      where: { cooperativeId_id: { cooperativeId, id: collectionId } },
      data: { ...fieldsOf(typed), version: { increment: 1 } },
      select: { id: true },
    });
    const kept = typed.slots.flatMap((slot) =>
      slot.id !== null && known.includes(slot.id) ? [{ ...slot, id: slot.id }] : [],
    );
    const gone = known.filter((id) => !kept.some((slot) => slot.id === id));
    await tx.collectionChoice.updateMany({ where: { cooperativeId, slotId: { in: gone } }, data: { slotId: null } });
    await tx.collectionSlot.deleteMany({ where: { cooperativeId, collectionId, id: { in: gone } } });
    for (const { id, startsAt, endsAt } of kept) {
      await tx.collectionSlot.updateMany({ where: { cooperativeId, collectionId, id }, data: { startsAt, endsAt } });
    }
    const added = typed.slots.filter(({ id }) => id === null || !known.includes(id));
    await this.addSlots(tx, scope, collectionId, added);
  }

  async choose(
    tx: Tx,
    scope: Scope,
    collectionId: string,
    choice: { householdId: string; slotId: string | null; delegateHouseholdId: string | null; at: Date },
  ): Promise<void> {
    const { cooperativeId, personId } = scope;
    const { householdId, slotId, delegateHouseholdId, at } = choice;
    const chosen = { slotId, delegateHouseholdId, changedBy: personId, changedAt: at };
    await tx.collectionChoice.upsert({
      where: { cooperativeId_collectionId_householdId: { cooperativeId, collectionId, householdId } },
      create: { cooperativeId, collectionId, householdId, ...chosen },
      update: chosen,
      select: { householdId: true },
    });
  }

  /** Those of the ids that are households, each with whether it has left. */
  async households(tx: Tx, scope: Scope, ids: readonly string[]): Promise<Map<string, { hasLeft: boolean }>> {
    const rows = await tx.household.findMany({
      where: { cooperativeId: scope.cooperativeId, id: { in: [...ids] } },
      select: { id: true, leftOn: true },
    });
    return new Map(rows.map(({ id, leftOn }) => [id, { hasLeft: leftOn !== null }]));
  }

  private async addSlots(tx: Tx, scope: Scope, collectionId: string, slots: Typed['slots']): Promise<void> {
    await tx.collectionSlot.createMany({
      data: slots.map(({ startsAt, endsAt }) => ({
        cooperativeId: scope.cooperativeId,
        id: newId(),
        collectionId,
        startsAt,
        endsAt,
      })),
    });
  }
}

const fieldsOf = ({ place, collectBy, afterDeadline }: Typed) => ({ place, collectBy, afterDeadline });

export type CollectionRow = NonNullable<Awaited<ReturnType<CollectionRepository['ofRound']>>>;
