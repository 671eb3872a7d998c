import { sortedRecord } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import type { Book, EntryDraft, Posting } from './entry.ts';
import { accountKey, draftEntry } from './entry.ts';

/**
 * Every account's balance, from the postings alone: the sum of its postings.
 * `entries`: drafts or booked entries; `book`: which of the two. Gives account key (`household:<id>`, `stock`, ...) to amount in the book's
 * unit; the balances sum to nil because every entry does.
 */
export function balancesOf(entries: Iterable<EntryDraft>, book: Book): Map<string, bigint> {
  const balances = new Map<string, bigint>();
  for (const entry of entries) {
    if (entry.book !== book) continue;
    for (const { account, amount } of entry.postings) {
      const key = accountKey(account);
      balances.set(key, (balances.get(key) ?? 0n) + amount);
    }
  }
  return new Map(Object.entries(sortedRecord(balances)));
}

/** Households' balances only, by household id. */
export function householdBalances(entries: Iterable<EntryDraft>, book: Book): Map<string, bigint> {
  const balances = [...balancesOf(entries, book)].filter(([key]) => key.startsWith('household:'));
  return new Map(balances.map(([key, amount]) => [key.slice('household:'.length), amount]));
}

/** An entry as it was booked. */
export interface BookedEntry extends EntryDraft {
  id: string;
  reversedBy?: string;
}

/**
 * The entry that undoes another: the same accounts, every amount with the other sign. Nothing in a book is ever changed or deleted.
 * `entry`: as booked, with the id of its reversal if it has one. Throws `conflict` when it is reversed already or is itself a reversal:
 * to bring back what was reversed, book it anew.
 */
export function reversalOf(entry: BookedEntry): EntryDraft & { reverses: string } {
  if (entry.reversedBy !== undefined || entry.kind === 'reversal') {
    throw new DomainError('conflict', `The entry ${entry.id} is reversed already or is a reversal.`);
  }
  const postings = entry.postings.map(({ account, amount, facts }): Posting => ({ account, amount: -amount, facts }));
  return { ...draftEntry(entry.book, 'reversal', postings), reverses: entry.id };
}
