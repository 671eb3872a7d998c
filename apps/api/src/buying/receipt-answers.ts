import type { Measures } from '@frostmoot/calc';
import { familiarUnitName, rational } from '@frostmoot/calc';
import type { receipt } from '@frostmoot/contract';
import type { z } from 'zod';
import { fromDate } from '../platform/db/dates.ts';
import type { LineKind, ReceiptLineRow, ReceiptRow } from './receipts.repository.ts';
import { textsOf } from './receipts.repository.ts';

export type ReceiptAnswer = z.infer<typeof receipt>;

export interface Names {
  /** household id to name */
  households: ReadonlyMap<string, string>;
  /** person id to name */
  people: ReadonlyMap<string, string>;
}

/** Who pays how much of a line and by which part of the weights, by name. */
function splitOf(line: ReceiptLineRow, { households }: Names): ReceiptAnswer['lines'][number]['split'] {
  const shares = textsOf(line.shares);
  const amounts = textsOf(line.amounts);
  const of = rational.format(rational.sum(Object.values(shares).map(rational.parse)));
  const split = Object.keys({ ...shares, ...amounts }).map((id) => ({
    household: { id, name: households.get(id) ?? '' },
    share: shares[id] ?? '0',
    of,
    amountMinor: amounts[id] ?? '0',
  }));
  return split.sort((a, b) => a.household.name.localeCompare(b.household.name));
}

export function receiptAnswer(row: ReceiptRow, names: Names, measures: Measures): ReceiptAnswer {
  return {
    id: row.id,
    seller: row.seller,
    paidBy: row.paidBy,
    boughtOn: fromDate(row.boughtOn),
    totalMinor: row.totalMinor.toString(),
    note: row.note,
    lines: row.lines.map((line) => ({
      id: line.id,
      kind: line.kind as LineKind,
      label: line.label,
      packs: line.packs,
      actualQuantity: line.actualQuantity,
      unit: line.unit === null ? null : familiarUnitName(line.unit, measures),
      amountMinor: line.amountMinor.toString(),
      correctsLineId: line.correctsLineId,
      lots: line.lots.map(({ id, code, bestBefore }) => ({
        ...{ id, code },
        bestBefore: bestBefore && fromDate(bestBefore),
      })),
      split: splitOf(line, names),
    })),
    createdAt: row.createdAt.toISOString(),
    createdBy: names.people.get(row.createdBy) ?? '',
  };
}
