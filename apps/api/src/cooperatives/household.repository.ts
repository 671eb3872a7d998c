import { Injectable } from '@nestjs/common';
import type { Prisma } from '../generated/prisma/client.ts';
import { toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface HouseholdFields {
  name: string;
  freezerMl: number | null;
  ownWeight: string | null;
  alertDays?: number;
}

const details = {
  diners: { include: { restrictions: { orderBy: { subject: 'asc' } } }, orderBy: { id: 'asc' } },
  memberships: { include: { person: { select: { displayName: true } } }, orderBy: { id: 'asc' } },
} satisfies Prisma.HouseholdInclude;

const NAME_TAKEN = { household_cooperative_id_name_key: 'conflict' } as const;
const NAME_TAKEN_WORDS = 'Another household of the cooperative has this name';

/** Households with who eats and who has an account. */
@Injectable()
export class HouseholdRepository {
  all(tx: Tx, { cooperativeId }: Scope) {
    return tx.household.findMany({ where: { cooperativeId }, include: details, orderBy: { name: 'asc' } });
  }

  find(tx: Tx, { cooperativeId }: Scope, id: string) {
    return tx.household.findUnique({ where: { cooperativeId_id: { cooperativeId, id } }, include: details });
  }

  /** Millilitres of the sealed containers that each household holds. */
  async millilitresHeld(tx: Tx, { cooperativeId }: Scope): Promise<Map<string, number>> {
    const rows = await tx.container.groupBy({
      by: ['holderHouseholdId'],
      where: { cooperativeId, state: 'sealed', holderHouseholdId: { not: null } },
      _sum: { millilitres: true },
    });
    return new Map(rows.map((row) => [String(row.holderHouseholdId), row._sum.millilitres ?? 0]));
  }

  /** Whether the household has a turn in a round that is not settled. */
  async cooksForAll(tx: Tx, { cooperativeId }: Scope, householdId: string): Promise<boolean> {
    const turn = await tx.turn.findFirst({
      where: {
        cooperativeId,
        householdId,
        cookDay: { cooperativeId, round: { cooperativeId, stage: { not: 'settled' } } },
      },
      select: { id: true },
    });
    return turn !== null;
  }

  async create(tx: Tx, { cooperativeId }: Scope, fields: HouseholdFields, joinedOn: string): Promise<string> {
    const id = newId();
    const made = tx.household.create({ data: { cooperativeId, id, ...fields, joinedOn: toDate(joinedOn) } });
    await onUnique(made, NAME_TAKEN, NAME_TAKEN_WORDS);
    return id;
  }

  /** False when it changed since that version. */
  async change(
    tx: Tx,
    { cooperativeId }: Scope,
    id: string,
    version: number,
    fields: HouseholdFields,
  ): Promise<boolean> {
    const changed = tx.household.updateMany({
      where: { cooperativeId, id, version },
      data: { ...fields, version: { increment: 1 } },
    });
    const { count } = await onUnique(changed, NAME_TAKEN, NAME_TAKEN_WORDS);
    return count === 1;
  }
}

export type HouseholdRow = NonNullable<Awaited<ReturnType<HouseholdRepository['find']>>>;
