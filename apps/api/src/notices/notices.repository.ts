import { Injectable } from '@nestjs/common';
import type { NoticeFacts, NoticeKind } from '@frostmoot/contract';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface NoticeRow {
  id: string;
  householdId: string;
  kind: NoticeKind;
  facts: NoticeFacts;
  subjectId: string | null;
  createdAt: Date;
  seen: { personId: string; seenAt: Date }[];
}
export interface Receiver {
  personId: string;
  email: string;
  displayName: string;
  locale: string;
}

const shown = {
  id: true,
  householdId: true,
  kind: true,
  facts: true,
  subjectId: true,
  createdAt: true,
  seen: { select: { personId: true, seenAt: true }, orderBy: { seenAt: 'asc' } },
} as const;

/** Rows of notices. */
@Injectable()
export class NoticesRepository {
  async add(
    tx: Tx,
    scope: Scope,
    notice: { householdId: string; kind: NoticeKind; facts: NoticeFacts; subjectId: string | null; createdAt: Date },
  ): Promise<string> {
    const { cooperativeId, personId: createdBy } = scope;
    const id = newId();
    await tx.notice.create({ data: { cooperativeId, id, createdBy, ...notice }, select: { id: true } });
    return id;
  }

  /** Households of those who coordinate. */
  async coordinators(tx: Tx, { cooperativeId }: Scope): Promise<string[]> {
    const where = { cooperativeId, roles: { has: 'coordinator' } };
    const rows = await tx.membership.findMany({ where, select: { householdId: true } });
    return rows.map(({ householdId }) => householdId);
  }

  async ofHousehold(tx: Tx, scope: Scope, householdId: string, most: number): Promise<NoticeRow[]> {
    const rows = await tx.notice.findMany({
      where: { cooperativeId: scope.cooperativeId, householdId },
      orderBy: [{ createdAt: 'desc' }, { id: 'desc' }],
      take: most,
      select: shown,
    });
    return rows as NoticeRow[];
  }

  async find(tx: Tx, scope: Scope, id: string): Promise<NoticeRow | null> {
    const { cooperativeId } = scope;
    const row = await tx.notice.findUnique({ where: { cooperativeId_id: { cooperativeId, id } }, select: shown });
    return row as NoticeRow | null;
  }

  unseen(tx: Tx, { cooperativeId, personId }: Scope, householdId: string): Promise<number> {
    return tx.notice.count({ where: { cooperativeId, householdId, seen: { none: { cooperativeId, personId } } } });
  }

  /** Marks one of the household's as seen, or all of them; what was seen before stays as it was. */
  async see(tx: Tx, scope: Scope, householdId: string, id: string | null, now: Date): Promise<void> {
    await tx.$executeRaw`
      INSERT INTO notice_seen (cooperative_id, notice_id, person_id, seen_at)
      SELECT n.cooperative_id, n.id, ${scope.personId}::uuid, ${now} FROM notice n
      WHERE n.cooperative_id = ${scope.cooperativeId}::uuid AND n.household_id = ${householdId}::uuid
        AND (${id}::uuid IS NULL OR n.id = ${id}::uuid)
      ON CONFLICT DO NOTHING`;
  }

  /** People of the household who want mail and have not had this one. */
  async receivers(tx: Tx, { cooperativeId }: Scope, noticeId: string, householdId: string): Promise<Receiver[]> {
    return tx.$queryRaw<Receiver[]>`
      SELECT p.id::text AS "personId", p.email, p.display_name AS "displayName", p.locale
      FROM membership m JOIN person p ON p.id = m.person_id
      WHERE m.cooperative_id = ${cooperativeId}::uuid AND m.household_id = ${householdId}::uuid AND p.wants_mail
        AND NOT EXISTS (SELECT FROM notice_mail x
          WHERE x.cooperative_id = ${cooperativeId}::uuid AND x.notice_id = ${noticeId}::uuid AND x.person_id = p.id)
      ORDER BY p.id`;
  }

  async mailed(tx: Tx, { cooperativeId }: Scope, noticeId: string, personId: string): Promise<void> {
    await tx.noticeMail.createMany({ data: [{ cooperativeId, noticeId, personId }], skipDuplicates: true });
  }

  async names(tx: Tx, personIds: readonly string[]): Promise<Map<string, string>> {
    const rows = await tx.person.findMany({
      where: { id: { in: [...personIds] } },
      select: { id: true, displayName: true },
    });
    return new Map(rows.map(({ id, displayName }) => [id, displayName]));
  }

  cooperative(tx: Tx, scope: Scope) {
    return tx.cooperative.findUniqueOrThrow({
      where: { id: scope.cooperativeId },
      select: { name: true, currency: true, timeZone: true },
    });
  }
}
