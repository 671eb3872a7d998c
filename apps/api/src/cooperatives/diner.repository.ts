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

  /** Makes these the diner's restrictions; one that stays keeps who consented to it. Gives those that are new. */
  async setRestrictions<T extends RestrictionFields>(
    tx: Tx,
    scope: Scope,
    dinerId: string,
    wanted: readonly T[],
  ): Promise<T[]> {
    const { cooperativeId, personId } = scope;
    const present = await tx.dinerRestriction.findMany({ where: { cooperativeId, dinerId } });
    const same = (a: RestrictionFields, b: RestrictionFields) => a.subject === b.subject && a.strength === b.strength;
    const gone = present.filter((row) => !wanted.some((one) => same(one, row)));
    const added = wanted.filter((one) => !present.some((row) => same(one, row)));
    await tx.dinerRestriction.deleteMany({ where: { cooperativeId, dinerId, id: { in: gone.map(({ id }) => id) } } });
    if (added.length === 0) return [];
    // Not the start of the transaction: a claim that was there before the account was locked must not look later than this.
    const [clock] = await tx.$queryRaw<[{ now: Date }]>`SELECT clock_timestamp() AS now`;
    await tx.dinerRestriction.createMany({
      data: added.map(({ subject, strength }) => ({
        cooperativeId,
        id: newId(),
        dinerId,
        subject,
        strength,
        consentBy: personId,
        createdAt: clock.now,
      })),
    });
    return added;
  }

  /** Sealed containers that a household holds, or has claimed before the share-out, with something that these make unfit and that it has not confirmed. */
  heldUnfit(
    tx: Tx,
    { cooperativeId }: Scope,
    householdId: string,
    subjects: readonly string[],
  ): Promise<{ dish: string; codes: string[] }[]> {
    return tx.$queryRaw`
      SELECT r.name AS dish, array_agg(b.lot_code || '-' || c.number ORDER BY b.lot_code, c.number) AS codes
      FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      LEFT JOIN early_claim e ON e.cooperative_id = c.cooperative_id AND e.container_id = c.id
      WHERE c.cooperative_id = ${cooperativeId}::uuid AND c.state = 'sealed'
        AND coalesce(c.holder_household_id, e.household_id) = ${householdId}::uuid
        AND EXISTS (SELECT FROM unnest(${[...subjects]}::text[]) s WHERE s = ANY(v.unfit_for) AND NOT EXISTS (
          SELECT FROM exclusion_confirmed x WHERE x.cooperative_id = c.cooperative_id AND x.container_id = c.id
            AND x.household_id = ${householdId}::uuid AND s = ANY(x.subjects)))
      GROUP BY r.name ORDER BY 1`;
  }
}
