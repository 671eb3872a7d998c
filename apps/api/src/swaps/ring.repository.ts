import { Injectable } from '@nestjs/common';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { codeOf } from '../stock/container-code.ts';

const withParts = {
  gone: {
    select: {
      number: true,
      batch: { select: { lotCode: true, recipeVersion: { select: { recipe: { select: { name: true } } } } } },
    },
  },
  members: {
    include: { household: { select: { id: true, name: true } }, gives: true },
    orderBy: { position: 'asc' },
  },
} as const;

export type RingState = 'proposed' | 'declined' | 'lapsed' | 'done';
export type RingReason = 'unanswered' | 'gone' | 'changed';
export interface RingPartRow {
  containerId: string;
  giverHouseholdId: string;
  receiverHouseholdId: string;
  wishId: string;
}
export interface RingMemberRow {
  household: { id: string; name: string };
  answer: 'accepted' | 'declined' | null;
  answeredAt: Date | null;
  version: number;
}
export interface RingRow {
  id: string;
  state: RingState;
  reason: RingReason | null;
  gone: { code: string; dish: string } | null;
  openUntil: Date;
  createdAt: Date;
  closedAt: Date | null;
  members: RingMemberRow[];
  parts: RingPartRow[];
}

/** Rings with their households in the order of giving, and what they move. */
@Injectable()
export class RingRepository {
  async find(tx: Tx, scope: Scope, id: string): Promise<RingRow | null> {
    const [row] = await this.select(tx, scope, { id });
    return row ?? null;
  }

  /** As find, and nobody else may answer it until the transaction ends. Accounts and containers are locked before. */
  async lock(tx: Tx, scope: Scope, id: string): Promise<RingRow> {
    await tx.$queryRaw`SELECT id FROM swap_ring WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR UPDATE`;
    return (await this.find(tx, scope, id)) as RingRow;
  }

  /** The rings of a household: all that wait, the soonest first, and the latest of the others. */
  async ofHousehold(tx: Tx, scope: Scope, householdId: string, endedShown: number): Promise<RingRow[]> {
    const members = { some: { householdId } };
    const waiting = await this.select(tx, scope, { members, state: 'proposed' });
    const ended = await this.select(tx, scope, { members, state: { not: 'proposed' } }, endedShown);
    return [...waiting.sort((a, b) => a.openUntil.getTime() - b.openUntil.getTime()), ...ended];
  }

  /** Rings that wait, and those that a household has declined. */
  async toMind(tx: Tx, scope: Scope): Promise<RingRow[]> {
    return this.select(tx, scope, { state: { in: ['proposed', 'declined'] } });
  }

  async create(
    tx: Tx,
    scope: Scope,
    ring: { openUntil: Date; createdAt: Date; households: readonly string[]; parts: readonly RingPartRow[] },
  ): Promise<string> {
    const { cooperativeId, personId } = scope;
    const id = newId();
    const { openUntil, createdAt, households, parts } = ring;
    await tx.swapRing.create({
      data: { cooperativeId, id, openUntil, createdAt, createdBy: personId },
      select: { id: true },
    });
    await tx.swapRingMember.createMany({
      data: households.map((householdId, position) => ({ cooperativeId, ringId: id, householdId, position })),
    });
    await tx.swapRingPart.createMany({ data: parts.map((part) => ({ cooperativeId, ringId: id, ...part })) });
    return id;
  }

  async answer(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    ringId: string,
    householdId: string,
    answer: 'accepted' | 'declined',
    at: Date,
  ): Promise<void> {
    await tx.swapRingMember.update({
      where: { cooperativeId_ringId_householdId: { cooperativeId, ringId, householdId } },
      data: { answer, answeredAt: at, answeredBy: personId, version: { increment: 1 } },
      select: { ringId: true },
    });
  }

  async close(
    tx: Tx,
    { cooperativeId }: Scope,
    id: string,
    end: { state: RingState; reason?: RingReason; goneContainerId?: string | null },
    at: Date,
  ): Promise<void> {
    await tx.swapRing.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: { ...end, closedAt: at, version: { increment: 1 } },
      select: { id: true },
    });
  }

  /** Writes down that rings which not everybody answered in time have lapsed. */
  async lapse(tx: Tx, { cooperativeId }: Scope, now: Date): Promise<void> {
    await tx.swapRing.updateMany({
      where: { cooperativeId, state: 'proposed', openUntil: { lte: now } },
      data: { state: 'lapsed', reason: 'unanswered', closedAt: now, version: { increment: 1 } },
    });
  }

  /** Rings that have lapsed and whose households have not been told, a month back, since a host may have been off; nobody else tells them meanwhile. */
  async lapsedUntold(tx: Tx, scope: Scope, now: Date): Promise<RingRow[]> {
    const { cooperativeId } = scope;
    await tx.$queryRaw`SELECT pg_advisory_xact_lock(hashtextextended('lapsed rings ' || ${cooperativeId}::text, 0))::text`;
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT r.id::text FROM swap_ring r
      WHERE r.cooperative_id = ${cooperativeId}::uuid AND r.state = 'lapsed' AND r.open_until > ${now}::timestamptz - interval '30 days'
        AND NOT EXISTS (SELECT FROM notice n WHERE n.cooperative_id = r.cooperative_id AND n.subject_id = r.id AND n.kind = 'ring-lapsed')`;
    return rows.length === 0 ? [] : this.select(tx, scope, { id: { in: rows.map(({ id }) => id) } });
  }

  private async select(
    tx: Tx,
    { cooperativeId }: Scope,
    where: NonNullable<Parameters<Tx['swapRing']['findMany']>[0]>['where'],
    take?: number,
  ): Promise<RingRow[]> {
    const rows = await tx.swapRing.findMany({
      where: { cooperativeId, ...where },
      include: withParts,
      orderBy: { id: 'desc' },
      ...(take === undefined ? {} : { take }),
    });
    return rows.map(({ gone, members, ...row }) => ({
      ...row,
      state: row.state as RingState,
      reason: row.reason as RingReason | null,
      gone: gone && { code: codeOf(gone.batch.lotCode, gone.number), dish: gone.batch.recipeVersion.recipe.name },
      members: members.map((member) => ({ ...member, answer: member.answer as RingMemberRow['answer'] })),
      parts: members.flatMap(({ gives }) => gives),
    }));
  }
}
