import { allocateByWeight } from '../allocation/largest-remainder.ts';
import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import type { Book, EntryDraft, Posting } from './entry.ts';
import { draftEntry, household } from './entry.ts';

/** A household that leaves with portions open, and those that stay. */
export interface Leaving {
  householdId: string;
  /** its balance in micro-portions, not nil; positive: they are still to come */
  micro: bigint;
  /** exact minor units, above nil */
  costPerPortionMinor: Rational;
  /** headcount weights of those who stay */
  staying: ReadonlyMap<string, Rational>;
  /** any text, for equal remainders */
  seed: string;
}

/** Both entries; no money where the amount rounds to nil. */
export interface BoughtOut {
  portions: EntryDraft;
  money?: EntryDraft;
}

/**
 * A household leaves: its balance of portions is bought out in money, and those who stay take over both by headcount weight.
 * Method: money = micro-portions x cost / 1,000,000, rounded to the nearest minor unit, halves away from nil; both totals are divided by allocateByWeight.
 * Our decision, ADR 62. Gives the entry in portions that brings the leaver's balance to nil and the one in money, each summing to nil among households.
 * Throws `invalid-input` for a balance or cost of nil, `participant-missing` when nobody stays.
 */
export function boughtOut({ householdId, micro, costPerPortionMinor, staying, seed }: Leaving): BoughtOut {
  if (micro === 0n) throw invalidInput([{ pointer: '#/micro', detail: 'There are no portions to buy out.' }]);
  if (costPerPortionMinor.n <= 0n) {
    throw invalidInput([{ pointer: '#/costPerPortionMinor', detail: 'Must be more than nil.' }]);
  }
  if (staying.has(householdId) || ![...staying.values()].some(({ n }) => n > 0n)) {
    throw new DomainError('participant-missing', 'Nobody stays who could take over what the household leaves behind');
  }
  const entry = (book: Book, total: bigint, sign: bigint): EntryDraft => {
    const parts = [...allocateByWeight(total, staying, seed)].sort(([a], [b]) => byCodeUnits(a, b));
    return draftEntry(book, 'adjustment', [
      { account: household(householdId), amount: -sign * total, facts: { part: 'bought-out' } },
      ...parts.map(([id, part]): Posting => ({
        account: household(id),
        amount: sign * part,
        facts: { part: 'taken-over' },
      })),
    ]);
  };
  const portions = entry('portions', micro, 1n);
  const size = (micro < 0n ? -micro : micro) * costPerPortionMinor.n;
  const unit = costPerPortionMinor.d * 1_000_000n;
  const rounded = (2n * size + unit) / (2n * unit);
  if (rounded === 0n) return { portions };
  return { portions, money: entry('money', micro < 0n ? -rounded : rounded, -1n) };
}
