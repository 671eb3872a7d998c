import type { Charge, CostSplit, EntryDraft, Facts, Rational } from '@frostmoot/calc';
import { adjustmentBooked, costSplitBooked, draftEntry, household, rational, receiptPaid } from '@frostmoot/calc';

/** A line with the weights that it is split by. */
export interface SharedLine {
  id: string;
  amountMinor: bigint;
  shares: ReadonlyMap<string, Rational>;
}

/** A household's part of one line before it is rounded. */
function exactPart(householdId: string, { amountMinor, shares }: SharedLine): Rational {
  const share = rational.div(shares.get(householdId) ?? rational.zero, rational.sum(shares.values()));
  return rational.mul(rational.rational(amountMinor), share);
}

/**
 * The numbers beside a household's part of a receipt: what the lines that it shares cost, its weight, all weights where they are the same in all of
 * them, and its part before rounding.
 */
function factsOf(householdId: string, lines: readonly SharedLine[], split: CostSplit): Facts {
  const shared = lines.filter(({ shares }) => shares.has(householdId));
  const of = new Set(shared.map(({ shares }) => rational.format(rational.sum(shares.values()))));
  const moved = split.rounding.get(householdId);
  return {
    lines: shared.length,
    sharedMinor: shared.reduce((sum, { amountMinor }) => sum + amountMinor, 0n).toString(),
    ...(shared[0] ? { share: rational.format(shared[0].shares.get(householdId) ?? rational.zero) } : {}),
    ...(of.size === 1 ? { of: [...of][0] ?? '' } : {}),
    exactMinor: rational.format(rational.sum(shared.map((line) => exactPart(householdId, line)))),
    ...(moved ? { roundingMinor: moved.toString() } : {}),
  };
}

function chargesOf(lines: readonly SharedLine[], split: CostSplit): Map<string, Charge> {
  return new Map(
    [...split.totals]
      .filter(([, amountMinor]) => amountMinor !== 0n)
      .map(([id, amountMinor]) => [id, { amountMinor, facts: factsOf(id, lines, split) }]),
  );
}

/** The two entries of a receipt: the payer is owed it, and the households are charged with it. */
export function receiptEntries(
  payer: string,
  totalMinor: bigint,
  lines: readonly SharedLine[],
  split: CostSplit,
): EntryDraft[] {
  return [receiptPaid(household(payer), totalMinor), costSplitBooked(chargesOf(lines, split))];
}

/** The same for the difference of a line that was booked before. */
export function correctionEntries(
  payer: string,
  differenceMinor: bigint,
  lines: readonly SharedLine[],
  split: CostSplit,
): EntryDraft[] {
  const paid = draftEntry('money', 'adjustment', [
    { account: household(payer), amount: differenceMinor },
    { account: { kind: 'stock' }, amount: -differenceMinor },
  ]);
  return [paid, adjustmentBooked(chargesOf(lines, split))];
}
