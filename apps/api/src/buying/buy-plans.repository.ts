import { Injectable } from '@nestjs/common';
import type { SellerTerms } from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** Why a plan is the cheapest, as it is kept: ids and minor units as text. */
export interface WhyCheapest {
  proof: 'optimal' | 'bounded' | 'single';
  next: { without: string; sellers: string[]; totalMinor: string } | null;
  only: { seller: string; ingredients: string[] }[];
}

type Asked = Record<string, { feeMinor: string; freeFromMinor: string | null; minimumMinor: string }>;

/** The buying plan of each round as it was when buying began; never changed. */
@Injectable()
export class BuyPlansRepository {
  async add(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    roundId: string,
    terms: readonly SellerTerms[],
    why: WhyCheapest | null,
  ): Promise<void> {
    const asked: Asked = Object.fromEntries(
      terms.map(({ id, feeMinor, freeFromMinor, minimumMinor }) => [
        id,
        {
          feeMinor: feeMinor.toString(),
          freeFromMinor: freeFromMinor?.toString() ?? null,
          minimumMinor: minimumMinor.toString(),
        },
      ]),
    );
    const data = { cooperativeId, roundId, terms: asked, result: { ...why }, createdBy: personId };
    await tx.buyPlan.create({ data });
  }

  async find(
    tx: Tx,
    { cooperativeId }: Scope,
    roundId: string,
  ): Promise<{ terms: SellerTerms[]; why: WhyCheapest } | null> {
    const row = await tx.buyPlan.findUnique({ where: { cooperativeId_roundId: { cooperativeId, roundId } } });
    if (!row) return null;
    const terms = Object.entries(row.terms as Asked).map(([id, asked]) => ({
      id,
      feeMinor: BigInt(asked.feeMinor),
      freeFromMinor: asked.freeFromMinor === null ? null : BigInt(asked.freeFromMinor),
      minimumMinor: BigInt(asked.minimumMinor),
    }));
    return { terms, why: row.result as unknown as WhyCheapest };
  }
}
