import type { ClearBalancesOutput } from './clear-balances.ts';
import { readClearing } from './clearing-input.ts';

/** One thing that a clearing gets wrong: what, and whose. */
export interface ClearBalancesViolation {
  code:
    | 'unknown-household'
    | 'not-an-amount'
    | 'paid-twice'
    | 'not-settled'
    | 'carried-wrong'
    | 'not-whole-units'
    | 'could-be-fewer'
    | 'bound-wrong';
  household?: string;
}

type Report = (code: ClearBalancesViolation['code'], household?: string) => void;

/** The members of a group whose subsets are looked through, one by one, for one that could settle by itself. */
const mostMembers = 17;

const amountOf = (text: unknown): bigint | undefined =>
  typeof text === 'string' && /^(0|-?[1-9]\d{0,24})$/.test(text) ? BigInt(text) : undefined;
const size = (value: bigint): bigint => (value < 0n ? -value : value);

/** Households that payments tie together, directly or by others. */
function tied(households: readonly string[], payments: readonly { from: string; to: string }[]): string[][] {
  const group = new Map(households.map((id) => [id, [id]]));
  for (const { from, to } of payments) {
    const [a, b] = [group.get(from), group.get(to)];
    if (!a || !b || a === b) continue;
    a.push(...b);
    for (const id of b) group.set(id, a);
  }
  return [...new Set(group.values())];
}

/** Whether some of a group, but not all, sum to nil by themselves; not looked for where there are too many subsets. */
function canBeSplit(amounts: readonly bigint[]): boolean {
  const others = amounts.slice(1);
  if (amounts.length > mostMembers) return false;
  let sums = [amounts[0] ?? 0n];
  for (const amount of others) sums = [...sums, ...sums.map((sum) => sum + amount)];
  // The last sum is that of everybody.
  return sums.slice(0, -1).some((sum) => sum === 0n);
}

function checkCarried(
  balances: ReadonlyMap<string, bigint>,
  unitMinor: bigint | undefined,
  { carried }: ClearBalancesOutput,
  report: Report,
): Map<string, bigint> {
  const due = new Map(balances);
  if (unitMinor === undefined) {
    if (carried) report('carried-wrong');
    return due;
  }
  let left = 0n;
  for (const [household, text] of Object.entries(carried ?? {})) {
    const amount = amountOf(text);
    if (!balances.has(household)) report('unknown-household', household);
    if (amount === undefined || size(amount) >= unitMinor) report('carried-wrong', household);
    left += amount ?? 0n;
    due.set(household, (due.get(household) ?? 0n) - (amount ?? 0n));
  }
  for (const household of balances.keys())
    if (!Object.hasOwn(carried ?? {}, household)) report('carried-wrong', household);
  if (left !== 0n) report('carried-wrong');
  for (const [household, amount] of due) if (amount % unitMinor !== 0n) report('not-whole-units', household);
  // By largest remainder: nobody carries more than a unit more than another, or a unit could stay with one instead of the other.
  const kept = [...balances].map(([household, amount]) => amount - (due.get(household) ?? 0n));
  if (kept.some((a) => kept.some((b) => a - b > unitMinor))) report('carried-wrong');
  return due;
}

/**
 * Checks a clearing from its input and output alone; it shares no code with fewestPayments but the reading of the input.
 * Checks: only whole amounts above nil, from one household to another, each pair at most once; together they bring every balance to nil, or to what is
 * carried, which is less than a unit, sums to nil and is rounded by largest remainder; households that pay one another, directly or by others, do so with one
 * payment fewer than they are, and in what is called optimal no group of up to 17 could be split into two that settle by themselves. That no
 * other grouping saves more is not checked: it has no short proof. `given`, `output`: as JSON. Gives every violation. Throws `invalid-input`.
 */
export function verifyClearBalances(given: unknown, output: ClearBalancesOutput): ClearBalancesViolation[] {
  const { balances, unitMinor } = readClearing(given);
  const violations: ClearBalancesViolation[] = [];
  const report: Report = (code, household) =>
    void violations.push({ code, ...(household === undefined ? {} : { household }) });
  const due = checkCarried(balances, unitMinor, output, report);
  const left = new Map(due);
  const seen = new Set<string>();
  for (const { from, to, amount: text } of output.payments) {
    const amount = amountOf(text);
    for (const household of [from, to]) if (!balances.has(household)) report('unknown-household', household);
    if (amount === undefined || amount <= 0n) report('not-an-amount', from);
    if (seen.has(JSON.stringify([from, to].sort())) || from === to) report('paid-twice', from);
    seen.add(JSON.stringify([from, to].sort()));
    left.set(from, (left.get(from) ?? 0n) + (amount ?? 0n));
    left.set(to, (left.get(to) ?? 0n) - (amount ?? 0n));
  }
  for (const [household, amount] of left) if (amount !== 0n) report('not-settled', household);
  const open = [...due].filter(([, amount]) => amount !== 0n);
  const groups = tied([...due.keys()], output.payments).filter((group) => group.length > 1);
  const members = groups.reduce((total, group) => total + group.length, 0);
  const isForest = members === open.length && output.payments.length === members - groups.length;
  const isSplit = groups.some((group) => canBeSplit(group.map((id) => due.get(id) ?? 0n)));
  if (!isForest || (output.proof === 'optimal' && isSplit)) report('could-be-fewer');
  // With a payment there are at least half as many as households that have anything to settle.
  const isBound =
    output.proof === 'optimal'
      ? output.atLeast === undefined
      : Number.isSafeInteger(output.atLeast) &&
        (output.atLeast ?? 0) < output.payments.length &&
        (output.atLeast ?? 0) >= Math.ceil(open.length / 2);
  if (!isBound) report('bound-wrong');
  return violations;
}
