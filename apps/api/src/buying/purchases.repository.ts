import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { Prisma } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import type { OfferRow } from './offers.repository.ts';
import { offerOf } from './offers.repository.ts';

const withOffer = {
  offer: {
    include: { seller: { select: { id: true, name: true } }, ingredient: { select: { id: true, name: true } } },
  },
} satisfies Prisma.PurchaseInclude;

/** Packs that a round set out to buy, and whether they are bought. */
export interface PurchaseRow {
  id: string;
  roundId: string;
  offer: OfferRow;
  packs: number;
  plannedMinor: bigint;
  needed: string;
  bought: boolean;
  version: number;
}

const rowOf = (row: Prisma.PurchaseGetPayload<{ include: typeof withOffer }>): PurchaseRow => ({
  id: row.id,
  roundId: row.roundId,
  offer: offerOf(row.offer),
  packs: row.packs,
  plannedMinor: row.plannedMinor,
  needed: row.needed,
  bought: row.boughtAt !== null,
  version: row.version,
});

@Injectable()
export class PurchasesRepository {
  async ofRound(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<PurchaseRow[]> {
    const rows = await tx.purchase.findMany({
      where: { cooperativeId, roundId },
      include: withOffer,
      orderBy: { id: 'asc' },
    });
    return rows.map(rowOf);
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<PurchaseRow> {
    const row = await tx.purchase.findUnique({
      where: { cooperativeId_id: { cooperativeId, id } },
      include: withOffer,
    });
    if (!row) throw new DomainError('not-found', 'There is no such purchase');
    return rowOf(row);
  }

  async add(
    tx: Tx,
    { cooperativeId }: Scope,
    roundId: string,
    rows: readonly { offerId: string; packs: number; plannedMinor: bigint; needed: string }[],
  ): Promise<void> {
    await tx.purchase.createMany({ data: rows.map((row) => ({ cooperativeId, id: newId(), roundId, ...row })) });
  }

  /** Ticks one off, or takes it back, from the version named; false when it has changed since. */
  async tick(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    id: string,
    version: number,
    at: Date | null,
  ): Promise<boolean> {
    const { count } = await tx.purchase.updateMany({
      where: { cooperativeId, id, version },
      data: { boughtAt: at, boughtBy: at === null ? null : personId, version: { increment: 1 } },
    });
    return count === 1;
  }

  /** Those of them that are not ticked yet, since a receipt shows that they are bought. */
  async tickPaid(tx: Tx, { cooperativeId, personId }: Scope, ids: readonly string[], at: Date): Promise<void> {
    await tx.purchase.updateMany({
      where: { cooperativeId, id: { in: [...ids] }, boughtAt: null },
      data: { boughtAt: at, boughtBy: personId, version: { increment: 1 } },
    });
  }

  /** What was paid for each purchase of a round, corrections included; nothing for those that are on no receipt. */
  async paid(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<Map<string, bigint>> {
    const rows = await tx.$queryRaw<{ id: string; paid: bigint }[]>`
      SELECT coalesce(l.purchase_id, o.purchase_id)::text AS id, sum(l.amount_minor)::bigint AS paid
      FROM receipt r
      JOIN receipt_line l ON l.cooperative_id = r.cooperative_id AND l.receipt_id = r.id
      LEFT JOIN receipt_line o ON o.cooperative_id = l.cooperative_id AND o.id = l.corrects_line_id
      WHERE r.cooperative_id = ${cooperativeId}::uuid AND r.round_id = ${roundId}::uuid
        AND coalesce(l.purchase_id, o.purchase_id) IS NOT NULL
      GROUP BY 1`;
    return new Map(rows.map(({ id, paid }) => [id, paid]));
  }
}
