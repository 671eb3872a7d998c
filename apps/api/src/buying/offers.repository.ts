import { Injectable } from '@nestjs/common';
import type { LimitedOffer, SellerTerms } from '@frostmoot/calc';
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
export interface OfferRow extends LimitedOffer {
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
  minPacks: row.minPacks,
  maxPacks: row.maxPacks,
  validFrom: fromDate(row.validFrom),
  validTo: row.validTo ? fromDate(row.validTo) : null,
  seller: row.seller,
  ingredient: row.ingredient,
});

type SellerFields = Pick<Seller, 'name' | 'feeMinor' | 'freeFromMinor' | 'minimumMinor'>;

const nameTaken = { seller_cooperative_id_name_key: 'conflict' } as const;

export const termsOf = ({ id, feeMinor, freeFromMinor, minimumMinor }: Seller): SellerTerms => ({
  ...{ id, feeMinor, freeFromMinor, minimumMinor },
});

/** Sellers and their prices. */
@Injectable()
export class OffersRepository {
  sellers(tx: Tx, { cooperativeId }: Scope): Promise<Seller[]> {
    return tx.seller.findMany({ where: { cooperativeId }, orderBy: [{ name: 'asc' }, { id: 'asc' }] });
  }

  addSeller(tx: Tx, { cooperativeId }: Scope, fields: SellerFields): Promise<Seller> {
    const work = tx.seller.create({ data: { cooperativeId, id: newId(), ...fields } });
    return onUnique(work, nameTaken, `There is a seller "${fields.name}" already; choose another name`);
  }

  /** Takes the seller on to its next version; it is locked and at the version that was named. */
  changeSeller(tx: Tx, { cooperativeId }: Scope, id: string, fields: Partial<SellerFields>): Promise<Seller> {
    const work = tx.seller.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: { ...fields, version: { increment: 1 } },
    });
    return onUnique(work, nameTaken, `There is a seller "${fields.name ?? ''}" already; choose another name`);
  }

  /** Sellers and ingredients by id, for what is told by their names. */
  async names(tx: Tx, { cooperativeId }: Scope): Promise<Map<string, string>> {
    const select = { id: true, name: true } as const;
    const sellers = await tx.seller.findMany({ where: { cooperativeId }, select });
    const ingredients = await tx.ingredient.findMany({ where: { cooperativeId }, select });
    return new Map([...sellers, ...ingredients].map(({ id, name }) => [id, name]));
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
