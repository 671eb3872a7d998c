import { Injectable } from '@nestjs/common';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** A container that a household has of a round, with its claim and how it was handed over. */
export interface HeldContainer {
  id: string;
  claimId: string;
  claimState: 'held' | 'claimed' | 'collected';
  roundId: string;
  code: string;
  dish: string;
  portions: number;
  version: number;
  state: string;
  householdId: string;
  householdName: string;
  toId: string | null;
  toName: string | null;
  handedBy: string | null;
  handedAt: Date | null;
}

/** Hand-overs, and the containers that there are to hand over. */
@Injectable()
export class HandOverRepository {
  /** Sealed containers of a round that households hold, by household and label; or one container, whatever its round. */
  held(tx: Tx, scope: Scope, which: { roundId: string } | { containerId: string }): Promise<HeldContainer[]> {
    const roundId = 'roundId' in which ? which.roundId : null;
    const containerId = 'containerId' in which ? which.containerId : null;
    return tx.$queryRaw<HeldContainer[]>`
      SELECT c.id::text, cl.id::text AS "claimId", cl.state AS "claimState", b.round_id::text AS "roundId", b.lot_code || '-' || c.number AS code,
        r.name AS dish, c.portions, c.version, c.state, h.id::text AS "householdId", h.name AS "householdName",
        t.id::text AS "toId", t.name AS "toName", n.display_name AS "handedBy", o.handed_at AS "handedAt"
      FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
      JOIN claim cl ON cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.ended_at IS NULL
      LEFT JOIN hand_over o ON o.cooperative_id = cl.cooperative_id AND o.claim_id = cl.id AND o.undone_at IS NULL
      LEFT JOIN household t ON t.cooperative_id = o.cooperative_id AND t.id = o.to_household_id
      LEFT JOIN person n ON n.id = o.created_by
      WHERE c.cooperative_id = ${scope.cooperativeId}::uuid
        AND (${roundId}::uuid IS NULL OR (b.round_id = ${roundId}::uuid AND c.state = 'sealed'))
        AND (${containerId}::uuid IS NULL OR c.id = ${containerId}::uuid)
      ORDER BY h.name, h.id, b.lot_code, c.number`;
  }

  /** Whether there is such a container at all. */
  async exists(tx: Tx, scope: Scope, containerId: string): Promise<boolean> {
    return (await tx.container.count({ where: { cooperativeId: scope.cooperativeId, id: containerId } })) > 0;
  }

  /** Locks containers, in id order as everybody does. */
  async lock(tx: Tx, scope: Scope, ids: readonly string[]): Promise<void> {
    await tx.$queryRaw`
      SELECT id FROM container WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ANY(${ids}::uuid[]) ORDER BY id FOR UPDATE`;
  }

  /** Whether somebody of the household must not eat it and nobody of it has answered the warning. */
  async waitsForOwnYes(tx: Tx, scope: Scope, container: HeldContainer, today: string): Promise<boolean> {
    const [row] = await tx.$queryRaw<[{ waits: boolean }]>`
      SELECT s.subjects <> '{}' AND NOT EXISTS (SELECT FROM exclusion_confirmed x WHERE x.cooperative_id = ${scope.cooperativeId}::uuid
        AND x.container_id = ${container.id}::uuid AND x.household_id = ${container.householdId}::uuid AND x.subjects @> s.subjects) AS waits
      FROM excluded_subjects(${scope.cooperativeId}::uuid, ${container.id}::uuid, ${container.householdId}::uuid, ${today}::date) s (subjects)`;
    return row.waits;
  }

  async handOver(tx: Tx, scope: Scope, container: HeldContainer, toHouseholdId: string, at: Date): Promise<void> {
    const { cooperativeId, personId } = scope;
    await onUnique(
      tx.handOver.create({
        data: {
          cooperativeId,
          id: newId(),
          claimId: container.claimId,
          containerId: container.id,
          householdId: container.householdId,
          toHouseholdId,
          handedAt: at,
          createdBy: personId,
        },
        select: { id: true },
      }),
      { hand_over_one_live: 'conflict' },
      'This container has been handed over already',
    );
    await this.setClaim(tx, scope, container.claimId, 'collected');
  }

  /** Takes the hand-over of a claim back; what the household had not said yes to is not made claimed by it. */
  async undo(tx: Tx, scope: Scope, container: HeldContainer, at: Date): Promise<void> {
    const { cooperativeId, personId } = scope;
    await tx.handOver.updateMany({
      where: { cooperativeId, claimId: container.claimId, undoneAt: null },
      data: { undoneAt: at, undoneBy: personId },
    });
    await this.setClaim(tx, scope, container.claimId, 'claimed');
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId, id: container.id } },
      data: { place: '', version: { increment: 1 } },
      select: { id: true },
    });
  }

  /** A container that was not collected is nobody's again. */
  async lapse(tx: Tx, scope: Scope, container: HeldContainer, at: Date): Promise<void> {
    const { cooperativeId } = scope;
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId, id: container.id } },
      data: { holderHouseholdId: null, place: '', version: { increment: 1 } },
      select: { id: true },
    });
    await tx.claim.updateMany({
      where: { cooperativeId, id: container.claimId, endedAt: null },
      data: { state: 'lapsed', endedAt: at },
    });
  }

  private async setClaim(tx: Tx, { cooperativeId }: Scope, id: string, state: string): Promise<void> {
    await tx.claim.updateMany({ where: { cooperativeId, id, endedAt: null }, data: { state } });
  }
}
