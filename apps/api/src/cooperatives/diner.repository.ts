import { Injectable } from '@nestjs/common';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface DinerFields {
  name: string;
  ageBand: string;
  birthYear: number | null;
}
export interface RestrictionFields {
  subject: string;
  strength: string;
}

/** Who eats, and what they leave out: health data, in a table of its own with who consented. */
@Injectable()
export class DinerRepository {
  find(tx: Tx, { cooperativeId }: Scope, householdId: string, id: string) {
    return tx.diner.findFirst({ where: { cooperativeId, id, householdId }, select: { id: true, version: true } });
  }

  async create(tx: Tx, { cooperativeId }: Scope, householdId: string, fields: DinerFields): Promise<string> {
    const id = newId();
    await tx.diner.create({ data: { cooperativeId, id, householdId, ...fields } });
    return id;
  }

  /** False when it changed since that version. */
  async change(tx: Tx, { cooperativeId }: Scope, id: string, version: number, fields: DinerFields): Promise<boolean> {
    const { count } = await tx.diner.updateMany({
      where: { cooperativeId, id, version },
      data: { ...fields, version: { increment: 1 } },
    });
    return count === 1;
  }

  /** False when it changed since that version. Restrictions go with it. */
  async remove(tx: Tx, { cooperativeId }: Scope, id: string, version: number): Promise<boolean> {
    return (await tx.diner.deleteMany({ where: { cooperativeId, id, version } })).count === 1;
  }

  /** Makes these the diner's restrictions; one that stays keeps who consented to it. */
  async setRestrictions(tx: Tx, scope: Scope, dinerId: string, wanted: readonly RestrictionFields[]): Promise<void> {
    const { cooperativeId, personId } = scope;
    const present = await tx.dinerRestriction.findMany({ where: { cooperativeId, dinerId } });
    const same = (a: RestrictionFields, b: RestrictionFields) => a.subject === b.subject && a.strength === b.strength;
    const gone = present.filter((row) => !wanted.some((one) => same(one, row)));
    const added = wanted.filter((one) => !present.some((row) => same(one, row)));
    await tx.dinerRestriction.deleteMany({ where: { cooperativeId, dinerId, id: { in: gone.map(({ id }) => id) } } });
    await tx.dinerRestriction.createMany({
      data: added.map(({ subject, strength }) => ({
        cooperativeId,
        id: newId(),
        dinerId,
        subject,
        strength,
        consentBy: personId,
      })),
    });
  }
}
