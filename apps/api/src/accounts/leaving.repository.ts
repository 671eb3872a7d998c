import { Injectable } from '@nestjs/common';
import type { Tx } from '../platform/db/prisma.ts';
import { toDate } from '../platform/db/dates.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface LeavingHousehold {
  id: string;
  name: string;
  leftOn: Date | null;
  version: number;
}

/** The cost of a round that was shared out and paid for. */
export interface RoundCost {
  id: string;
  number: number;
  spentMinor: bigint;
  portions: bigint;
}

/** What must be known before a household leaves. */
@Injectable()
export class LeavingRepository {
  household(tx: Tx, scope: Scope, id: string): Promise<LeavingHousehold | null> {
    return tx.household.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      select: { id: true, name: true, leftOn: true, version: true },
    });
  }

  /** Holds the household still; nobody else changes it or lets it leave meanwhile. */
  async lock(tx: Tx, scope: Scope, id: string): Promise<void> {
    await tx.$queryRaw`SELECT id FROM household WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR UPDATE`;
  }

  async balance(tx: Tx, scope: Scope, householdId: string): Promise<bigint> {
    const account = await tx.account.findFirst({
      where: { cooperativeId: scope.cooperativeId, book: 'portions', kind: 'household', householdId },
      select: { balance: true },
    });
    return account?.balance ?? 0n;
  }

  /** The latest round that was shared out and has receipts: what was spent and the portions that came of it. */
  async lastCost(tx: Tx, scope: Scope): Promise<RoundCost | null> {
    const [row] = await tx.$queryRaw<RoundCost[]>`
      SELECT o.id::text, o.number, spent.minor AS "spentMinor", made.portions
      FROM round o
      JOIN share_out s ON s.cooperative_id = o.cooperative_id AND s.round_id = o.id AND s.state = 'confirmed'
      CROSS JOIN LATERAL (SELECT coalesce(sum(r.total_minor), 0)::bigint AS minor FROM receipt r
        WHERE r.cooperative_id = o.cooperative_id AND r.round_id = o.id) spent
      CROSS JOIN LATERAL (SELECT coalesce(sum(b.actual_portions), 0)::bigint AS portions FROM batch b
        WHERE b.cooperative_id = o.cooperative_id AND b.round_id = o.id) made
      WHERE o.cooperative_id = ${scope.cooperativeId}::uuid AND spent.minor > 0 AND made.portions > 0
      ORDER BY o.number DESC LIMIT 1`;
    return row ?? null;
  }

  /** Headcount weights of the latest share-out, of those who have not left. */
  stayingWeights(tx: Tx, scope: Scope, leaverId: string): Promise<{ id: string; name: string; weight: string }[]> {
    return tx.$queryRaw<{ id: string; name: string; weight: string }[]>`
      SELECT h.id::text, h.name, w.value ->> 'weight' AS weight
      FROM (SELECT s.input FROM share_out s JOIN round o ON o.cooperative_id = s.cooperative_id AND o.id = s.round_id
        WHERE s.cooperative_id = ${scope.cooperativeId}::uuid AND s.state = 'confirmed' ORDER BY o.number DESC LIMIT 1) last
      CROSS JOIN jsonb_array_elements(last.input -> 'households') w
      JOIN household h ON h.cooperative_id = ${scope.cooperativeId}::uuid AND h.id = (w.value ->> 'id')::uuid
      WHERE h.left_on IS NULL AND h.id <> ${leaverId}::uuid
      ORDER BY h.name, h.id`;
  }

  /** Whether it still takes part in a round that is not shared out. */
  async takesPart(tx: Tx, scope: Scope, householdId: string, today: string): Promise<boolean> {
    const rows = await tx.$queryRaw<unknown[]>`
      SELECT o.id FROM round o
      WHERE o.cooperative_id = ${scope.cooperativeId}::uuid AND o.stage <> 'settled'
        AND NOT EXISTS (SELECT FROM share_out s WHERE s.cooperative_id = o.cooperative_id AND s.round_id = o.id AND s.state = 'confirmed')
        AND EXISTS (SELECT FROM participant_in_force(o.cooperative_id, o.id, ${householdId}::uuid, ${today}::date) p
          WHERE split_part(p.weight, '/', 1) ~ '[1-9]')
      LIMIT 1`;
    return rows.length > 0;
  }

  /** Whether a swap waits that would move its portions again. */
  async swapsWaiting(tx: Tx, scope: Scope, householdId: string, now: Date): Promise<boolean> {
    const rows = await tx.$queryRaw<unknown[]>`
      SELECT p.id FROM swap_part p JOIN swap w ON w.cooperative_id = p.cooperative_id AND w.id = p.swap_id
      WHERE p.cooperative_id = ${scope.cooperativeId}::uuid AND w.state = 'proposed' AND w.open_until > ${now}
        AND ${householdId}::uuid IN (p.giver_household_id, p.receiver_household_id)
      UNION ALL
      SELECT w.id FROM swap_ring_part p JOIN swap_ring w ON w.cooperative_id = p.cooperative_id AND w.id = p.ring_id
      WHERE p.cooperative_id = ${scope.cooperativeId}::uuid AND w.state = 'proposed' AND w.open_until > ${now}
        AND ${householdId}::uuid IN (p.giver_household_id, p.receiver_household_id)
      LIMIT 1`;
    return rows.length > 0;
  }

  /** Writes the day, and takes the household out of every line in which it waits for a dish and off the board of swaps. */
  async leave(tx: Tx, scope: Scope, householdId: string, on: string, now: Date): Promise<void> {
    await tx.household.update({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: householdId } },
      data: { leftOn: toDate(on), version: { increment: 1 } },
      select: { id: true },
    });
    await tx.waiting.updateMany({
      where: { cooperativeId: scope.cooperativeId, householdId, endedAt: null },
      data: { state: 'left', endedAt: now, version: { increment: 1 } },
    });
    const live = { cooperativeId: scope.cooperativeId, householdId, endedAt: null };
    const ended = { endedAt: now, version: { increment: 1 } };
    await tx.swapOffer.updateMany({ where: live, data: { ...ended, endedReason: 'taken-back' } });
    await tx.swapWish.updateMany({ where: live, data: ended });
  }
}
