import { Injectable } from '@nestjs/common';
import { rational } from '@frostmoot/calc';
import type { Rational } from '@frostmoot/calc';
import { Prisma } from '../generated/prisma/client.ts';
import { toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type LineKind = 'goods' | 'fee' | 'adjustment' | 'refund';

const whole = {
  seller: { select: { id: true, name: true } },
  paidBy: { select: { id: true, name: true } },
  lines: {
    orderBy: { position: 'asc' },
    include: { lots: { select: { id: true, code: true, bestBefore: true }, orderBy: { id: 'asc' } } },
  },
} satisfies Prisma.ReceiptInclude;
export type ReceiptRow = Prisma.ReceiptGetPayload<{ include: typeof whole }>;
export type ReceiptLineRow = ReceiptRow['lines'][number];

const withReceipt = {
  receipt: { include: { paidBy: { select: { name: true } }, seller: { select: { name: true } } } },
  corrections: true,
} satisfies Prisma.ReceiptLineInclude;
export type CorrectableLine = Prisma.ReceiptLineGetPayload<{ include: typeof withReceipt }>;

export interface NewLine {
  id: string;
  kind: LineKind;
  purchaseId: string | null;
  ingredientId: string | null;
  correctsLineId: string | null;
  label: string;
  packs: number | null;
  actualQuantity: string | null;
  unit: string | null;
  amountMinor: bigint;
  /** household to weight as text, household to minor units as text */
  shares: Record<string, string>;
  amounts: Record<string, string>;
  /** as printed on the packs; of goods of an ingredient only */
  lots: readonly { code: string; bestBefore: string | null }[];
}

export interface NewReceipt {
  roundId: string;
  sellerId: string;
  paidByHouseholdId: string;
  boughtOn: string;
  totalMinor: bigint;
  note: string;
  lines: readonly NewLine[];
}

/** Receipts and their lines, which are never changed. */
@Injectable()
export class ReceiptsRepository {
  /** Receipts of a round, the latest day first. */
  ofRound(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<ReceiptRow[]> {
    return tx.receipt.findMany({
      where: { cooperativeId, roundId },
      include: whole,
      orderBy: [{ boughtOn: 'desc' }, { id: 'desc' }],
    });
  }

  find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<ReceiptRow> {
    return tx.receipt.findUniqueOrThrow({ where: { cooperativeId_id: { cooperativeId, id } }, include: whole });
  }

  /** A line of the round with its receipt and what corrected it since. */
  line(tx: Tx, { cooperativeId }: Scope, roundId: string, id: string): Promise<CorrectableLine | null> {
    return tx.receiptLine.findFirst({ where: { cooperativeId, id, receipt: { roundId } }, include: withReceipt });
  }

  async spentMinor(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<{ receipts: number; spent: bigint }> {
    const { _count, _sum } = await tx.receipt.aggregate({
      where: { cooperativeId, roundId },
      _count: { _all: true },
      _sum: { totalMinor: true },
    });
    return { receipts: _count._all, spent: _sum.totalMinor ?? 0n };
  }

  async firstBoughtOn(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<Date | null> {
    const { _min } = await tx.receipt.aggregate({ where: { cooperativeId, roundId }, _min: { boughtOn: true } });
    return _min.boughtOn;
  }

  async add(tx: Tx, { cooperativeId, personId }: Scope, { lines, boughtOn, ...fields }: NewReceipt): Promise<string> {
    const id = newId();
    await tx.receipt.create({
      data: { cooperativeId, id, createdBy: personId, boughtOn: toDate(boughtOn), ...fields },
    });
    const work = tx.receiptLine.createMany({
      data: lines.map(({ lots: _, ...line }, position) => ({ cooperativeId, receiptId: id, position, ...line })),
    });
    await onUnique(work, { receipt_line_refunded_once: 'conflict' }, 'This line was given back already.');
    await tx.ingredientLot.createMany({
      data: lines.flatMap(({ id: receiptLineId, ingredientId, lots }) =>
        ingredientId === null
          ? []
          : lots.map(({ code, bestBefore }) => ({
              ...{ cooperativeId, id: newId(), receiptLineId, ingredientId, code },
              ...{ bestBefore: bestBefore === null ? null : toDate(bestBefore), createdBy: personId },
            })),
      ),
    });
    return id;
  }

  /** What rounding has left of every household, locked until the transaction ends; rows that are missing are made in one order, so that parallel receipts cannot wait for each other. */
  async lockCarried(tx: Tx, { cooperativeId }: Scope, householdIds: readonly string[]): Promise<Map<string, Rational>> {
    const sorted = [...new Set(householdIds)].sort();
    await tx.costCarry.createMany({
      data: sorted.map((householdId) => ({ cooperativeId, householdId, carried: '0' })),
      skipDuplicates: true,
    });
    const rows = await tx.$queryRaw<{ household_id: string; carried: string }[]>`
      SELECT household_id::text, carried FROM cost_carry WHERE cooperative_id = ${cooperativeId}::uuid
      ORDER BY household_id FOR UPDATE`;
    return new Map(rows.map((row) => [row.household_id, rational.parse(row.carried)]));
  }

  async saveCarried(tx: Tx, { cooperativeId }: Scope, carried: ReadonlyMap<string, Rational>): Promise<void> {
    const ids = [...carried.keys()];
    const values = [...carried.values()].map(rational.format);
    await tx.$executeRaw`
      UPDATE cost_carry c SET carried = v.carried
      FROM unnest(${ids}::uuid[], ${values}::text[]) AS v(household_id, carried)
      WHERE c.cooperative_id = ${cooperativeId}::uuid AND c.household_id = v.household_id`;
  }

  /** Who wrote them down, by id. */
  async writers(tx: Tx, rows: readonly { createdBy: string }[]): Promise<Map<string, string>> {
    const ids = [...new Set(rows.map(({ createdBy }) => createdBy))];
    const people = await tx.person.findMany({ where: { id: { in: ids } }, select: { id: true, displayName: true } });
    return new Map(people.map(({ id, displayName }) => [id, displayName]));
  }
}

export const textsOf = (json: Prisma.JsonValue): Record<string, string> => json as Record<string, string>;
