import { largestRemainder, wholesRecord } from '../allocation/largest-remainder.ts';
import { byCodeUnits } from '../canonical.ts';
import { rational } from '../rational.ts';
import type { ClearingInput } from './clearing-input.ts';
import { readClearing } from './clearing-input.ts';
import type { Balance } from './zero-sum-groups.ts';
import { zeroSumGroups } from './zero-sum-groups.ts';

/** A payment due, in minor units above nil. */
export interface PaymentDue {
  from: string;
  to: string;
  amount: bigint;
}

export interface Clearing {
  proof: 'optimal' | 'bounded';
  payments: PaymentDue[];
  /** with `bounded`: there is no way with fewer payments than this */
  atLeast?: number;
  /** with whole units: what stays on each balance, less than one unit in size, summing to nil */
  carried?: Map<string, bigint>;
}

/** Settles one group with one payment fewer than it has members: the greatest debtor pays the greatest creditor as much as one of both allows. */
function settle(group: readonly Balance[]): PaymentDue[] {
  const open = (sign: 1n | -1n): Balance[] =>
    group
      .filter(({ amount }) => amount * sign > 0n)
      .map(({ id, amount }) => ({ id, amount: amount * sign }))
      .sort((a, b) => (a.amount === b.amount ? byCodeUnits(a.id, b.id) : a.amount > b.amount ? -1 : 1));
  const debtors = open(-1n);
  const creditors = open(1n);
  const payments: PaymentDue[] = [];
  for (let [d, c] = [0, 0]; ;) {
    const from = debtors[d];
    const to = creditors[c];
    if (!from || !to) return payments;
    const amount = from.amount < to.amount ? from.amount : to.amount;
    payments.push({ from: from.id, to: to.id, amount });
    from.amount -= amount;
    to.amount -= amount;
    if (from.amount === 0n) d++;
    if (to.amount === 0n) c++;
  }
}

/** Balances in whole units, each rounded down or up so that they still sum to nil. */
function inWholeUnits(balances: ReadonlyMap<string, bigint>, unitMinor: bigint): Map<string, bigint> {
  const exact = new Map([...balances].map(([id, amount]) => [id, rational(amount, unitMinor)]));
  const whole = largestRemainder(exact, 0n, 'clear-balances');
  return new Map([...whole].map(([id, units]) => [id, units * unitMinor]));
}

/**
 * The fewest payments that bring every balance to nil.
 * Method: payments = people - groups that sum to nil, so the most such groups are sought (zeroSumGroups) and each is settled greatest first. With
 * `unitMinor` balances are first rounded to whole units by largest remainder and the cents stay as `carried`, which saves more
 * payments than any search: cents almost never sum to nil in small groups. `balances`: household to minor units, summing to nil.
 * Gives payments sorted by payer and receiver, at most people - 1; `proof` is `optimal` up to 22 balances that have no exact opposite, and
 * above that when the number found meets the bound, otherwise `bounded` with `atLeast`. With whole units the proof is about the rounded balances.
 * Equal amounts by id; equal remainders by lot. Throws RangeError when the balances do not sum to nil.
 */
export function fewestPayments({ balances, unitMinor }: ClearingInput): Clearing {
  if ([...balances.values()].reduce((a, b) => a + b, 0n) !== 0n) throw new RangeError('The balances must sum to nil.');
  const due = unitMinor === undefined || unitMinor === 1n ? balances : inWholeUnits(balances, unitMinor);
  const open = [...due].flatMap(([id, amount]): Balance[] => (amount === 0n ? [] : [{ id, amount }]));
  const { groups, optimal, mostGroups } = zeroSumGroups(open);
  const payments = groups.flatMap(settle).sort((a, b) => byCodeUnits(a.from, b.from) || byCodeUnits(a.to, b.to));
  return {
    proof: optimal ? 'optimal' : 'bounded',
    payments,
    atLeast: optimal ? undefined : open.length - mostGroups,
    carried:
      unitMinor === undefined
        ? undefined
        : new Map([...balances].map(([id, amount]) => [id, amount - (due.get(id) ?? 0n)])),
  };
}

/** The JSON form of a clearing; `carried` only with whole units, `atLeast` only with `bounded`. */
export interface ClearBalancesOutput {
  proof: 'optimal' | 'bounded';
  payments: { from: string; to: string; amount: string }[];
  atLeast?: number;
  carried?: Record<string, string>;
}

/** The command `clear-balances`: fewestPayments from JSON to JSON (readClearing says what is read). Throws `invalid-input` with pointers. */
export function clearBalances(input: unknown): ClearBalancesOutput {
  const { proof, payments, atLeast, carried } = fewestPayments(readClearing(input));
  return {
    proof,
    payments: payments.map(({ from, to, amount }) => ({ from, to, amount: amount.toString() })),
    ...(atLeast === undefined ? {} : { atLeast }),
    ...(carried ? { carried: wholesRecord(carried) } : {}),
  };
}
