import type { Schemas } from '../../lib/api/schemas.ts';

type Receipt = Schemas['Receipt'];

export interface HouseholdCost {
  householdId: string;
  name: string;
  /** Its parts of every receipt line, minor units. */
  share: bigint;
  /** What it paid at the till, minor units. */
  paid: bigint;
  /** Positive: to receive for this round. */
  difference: bigint;
}

/** What a round's receipts come to for each household: its parts, what it laid out, and the difference; the differences sum to nil. */
export function costsByHousehold(receipts: readonly Receipt[]): HouseholdCost[] {
  const rows = new Map<string, HouseholdCost>();
  const rowOf = ({ id, name }: { id: string; name: string }): HouseholdCost => {
    const row = rows.get(id) ?? { householdId: id, name, share: 0n, paid: 0n, difference: 0n };
    rows.set(id, row);
    return row;
  };
  for (const receipt of receipts) {
    rowOf(receipt.paidBy).paid += BigInt(receipt.totalMinor);
    for (const line of receipt.lines) {
      for (const part of line.split) rowOf(part.household).share += BigInt(part.amountMinor);
    }
  }
  return [...rows.values()]
    .map((row) => ({ ...row, difference: row.paid - row.share }))
    .sort((a, b) => a.name.localeCompare(b.name));
}
