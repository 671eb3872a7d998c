import { byCodeUnits } from '../canonical.ts';
import { invalidInput } from '../input.ts';
import type { AccountRef, EntryDraft, Facts, Posting } from './entry.ts';
import { draftEntry, household, positiveAmount } from './entry.ts';

const byId = <T>(amounts: ReadonlyMap<string, T>): [string, T][] => [...amounts].sort(([a], [b]) => byCodeUnits(a, b));

/**
 * A receipt was paid: the cooperative owes the payer, and has goods at cost until they are split.
 * `payer`: a household or the common fund; `paidMinor`: minor units, not nil (negative: money came back). Gives payer + and stock -.
 * Throws `invalid-input` for nil or another payer.
 */
export function receiptPaid(payer: AccountRef, paidMinor: bigint, facts?: Facts): EntryDraft {
  if (payer.kind !== 'household' && payer.kind !== 'fund') {
    throw invalidInput([{ pointer: '#/payer', detail: 'Must be a household or the common fund.' }]);
  }
  return draftEntry('money', 'receipt-paid', [
    { account: payer, amount: paidMinor, facts },
    { account: { kind: 'stock' }, amount: -paidMinor },
  ]);
}

/** What one household pays of a split, and the numbers that explain it. */
export interface Charge {
  amountMinor: bigint;
  facts?: Facts;
}

function split(kind: 'cost-split' | 'adjustment', charges: ReadonlyMap<string, Charge>): EntryDraft {
  const postings: Posting[] = byId(charges).map(([householdId, { amountMinor, facts }]) => ({
    account: household(householdId),
    amount: -amountMinor,
    facts,
  }));
  const total = [...charges.values()].reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
  return draftEntry('money', kind, [{ account: { kind: 'stock' }, amount: total }, ...postings]);
}

/**
 * The cost of goods is put on the households: stock + and each household - what it pays.
 * `charges`: household to what it pays in minor units (the totals of costSplit). Throws `invalid-input` when all are nil.
 */
export const costSplitBooked = (charges: ReadonlyMap<string, Charge>): EntryDraft => split('cost-split', charges);

/** As costSplitBooked, for the difference of a receipt that was split before (a catch weight, a refund); the old entry stays as it is. */
export const adjustmentBooked = (charges: ReadonlyMap<string, Charge>): EntryDraft => split('adjustment', charges);

/**
 * One household paid another, or the common fund, outside the system: the payer owes less, the receiver is owed less.
 * `from`, `to`: households or the fund, not the same; `amountMinor`: above nil. Throws `invalid-input` otherwise.
 */
export function paymentMade(from: AccountRef, to: AccountRef, amountMinor: bigint, facts?: Facts): EntryDraft {
  const strange = [from, to].some(({ kind }) => kind !== 'household' && kind !== 'fund');
  const same =
    from.kind === 'household' ? to.kind === 'household' && to.householdId === from.householdId : to.kind === from.kind;
  if (strange || same) {
    throw invalidInput([{ pointer: '#/to', detail: 'A payment goes from a household or the fund to another one.' }]);
  }
  const amount = positiveAmount(amountMinor, '#/amount');
  return draftEntry('money', 'payment', [
    { account: from, amount, facts },
    { account: to, amount: -amount, facts },
  ]);
}

/**
 * What nobody will pay any more goes to the common fund, or what the fund grants a household.
 * `householdId`: whose balance; `amountMinor`: added to it, negative to take from it, not nil.
 */
export const writtenOff = (householdId: string, amountMinor: bigint, facts?: Facts): EntryDraft =>
  draftEntry('money', 'write-off', [
    { account: household(householdId), amount: amountMinor, facts },
    { account: { kind: 'fund' }, amount: -amountMinor },
  ]);

/** Balances brought from books kept elsewhere; the other side is outside. `balances`: household to minor units, positive: it is owed. */
export function moneyOpening(balances: ReadonlyMap<string, bigint>): EntryDraft {
  const postings = byId(balances).map(([householdId, amount]): Posting => ({
    account: household(householdId),
    amount,
  }));
  const total = [...balances.values()].reduce((a, b) => a + b, 0n);
  return draftEntry('money', 'opening', [...postings, { account: { kind: 'outside' }, amount: -total }]);
}
