import { Injectable } from '@nestjs/common';
import { rational } from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

const sumOf = (litres: readonly string[]) =>
  litres.map((each) => rational.parse(each)).reduce((a, b) => rational.add(a, b), rational.zero);

export interface KitchenFields {
  hobs: number | null;
  ovens: number | null;
  potsLitres: string[];
  benchPeople: number | null;
}

/** What the kitchens of the households have. */
@Injectable()
export class HouseholdKitchensRepository {
  find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<(KitchenFields & { version: number }) | null> {
    return tx.household.findUnique({
      where: { cooperativeId_id: { cooperativeId, id } },
      select: { hobs: true, ovens: true, potsLitres: true, benchPeople: true, version: true },
    });
  }

  /** False when it changed since that version. */
  async save(tx: Tx, { cooperativeId }: Scope, id: string, version: number, fields: KitchenFields): Promise<boolean> {
    // The rota asks what all pots hold together; who has named them one by one is not asked twice.
    const potMl = Math.min(
      100_000_000,
      Number(rational.floor(rational.mul(sumOf(fields.potsLitres), rational.rational(1000n)))),
    );
    const { count } = await tx.household.updateMany({
      where: { cooperativeId, id, version },
      data: { ...fields, ...(potMl > 0 ? { potMl } : {}), version: { increment: 1 } },
    });
    return count === 1;
  }
}
