import { Injectable } from '@nestjs/common';
import type { PricedOffer } from '@frostmoot/calc';
import { DomainError } from '@frostmoot/calc';
import type { Prisma, Seller } from '../generated/prisma/client.ts';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

const names = {
  seller: { select: { id: true, name: true } },
  ingredient: { select: { id: true, name: true } },
} satisfies Prisma.OfferInclude;

/** An offer as the calculations take it, with the names that the screens show. */
export interface OfferRow extends PricedOffer {
  label: string;
  catchWeight: boolean;
  seller: { id: string; name: string };
  ingredient: { id: string; name: string };
}

export const offerOf = (row: Prisma.OfferGetPayload<{ include: typeof names }>): OfferRow => ({
  id: row.id,
  sellerId: row.sellerId,
  ingredientId: row.ingredientId,
  label: row.label,
  packQuantity: row.packQuantity,
  packUnit: row.packUnit,
  priceMinor: row.priceMinor,
  catchWeight: row.catchWeight,
  validFrom: fromDate(row.validFrom),
  validTo: row.validTo ? fromDate(row.validTo) : null,
  seller: row.seller,
  ingredient: row.ingredient,
});

/** Sellers and their prices. */
@Injectable()
export class OffersRepository {
  sellers(tx: Tx, { cooperativeId }: Scope): Promise<Seller[]> {
    return tx.seller.findMany({ where: { cooperativeId }, orderBy: [{ name: 'asc' }, { id: 'asc' }] });
  }

  async addSeller(tx: Tx, { cooperativeId }: Scope, name: string, feeMinor: bigint): Promise<Seller> {
    const work = tx.seller.create({ data: { cooperativeId, id: newId(), name, feeMinor } });
    return onUnique(
      work,
      { seller_cooperative_id_name_key: 'conflict' },
      `There is a seller "${name}" already; choose another name`,
    );
  }

  /** The seller, locked: prices of one seller change one after the other. */
  async lockSeller(tx: Tx, { cooperativeId }: Scope, id: string): Promise<Seller | null> {
    await tx.$queryRaw`
      SELECT 1 FROM seller WHERE cooperative_id = ${cooperativeId}::uuid AND id = ${id}::uuid FOR NO KEY UPDATE`;
    return tx.seller.findUnique({ where: { cooperativeId_id: { cooperativeId, id } } });
  }

  /** Offers by ingredient name, then seller, the latest price first. */
  async list(tx: Tx, { cooperativeId }: Scope, ingredientIds?: readonly string[]): Promise<OfferRow[]> {
    const rows = await tx.offer.findMany({
      where: { cooperativeId, ...(ingredientIds ? { ingredientId: { in: [...ingredientIds] } } : {}) },
      include: names,
      orderBy: [{ ingredient: { name: 'asc' } }, { seller: { name: 'asc' } }, { validFrom: 'desc' }, { id: 'desc' }],
    });
    return rows.map(offerOf);
  }

  async add(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    { validFrom, validTo, ...fields }: Omit<OfferRow, 'id' | 'seller' | 'ingredient'>,
  ): Promise<OfferRow> {
    const dates = { validFrom: toDate(validFrom), validTo: validTo === null ? null : toDate(validTo) };
    const row = await tx.offer.create({
      data: { cooperativeId, id: newId(), createdBy: personId, ...fields, ...dates },
      include: names,
    });
    return offerOf(row);
  }

  /** Ends offers on a day, their last. */
  async end(tx: Tx, { cooperativeId }: Scope, ids: readonly string[], lastDay: string): Promise<void> {
    if (ids.length === 0) return;
    await tx.offer.updateMany({
      where: { cooperativeId, id: { in: [...ids] } },
      data: { validTo: toDate(lastDay) },
    });
  }
}

/** The seller or a refusal that points to the field. */
export function knownSeller(seller: Seller | null): Seller {
  if (seller) return seller;
  const detail = 'There is no such seller.';
  throw new DomainError('invalid-input', detail, { errors: [{ pointer: '#/sellerId', detail }] });
}
