import type { JsonValue } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { invalidInput } from '../input.ts';

/** The three books: money in minor units of the cooperative's currency, portions in micro-portions, turns in micro-turns. */
export type Book = 'money' | 'portions' | 'turns';

/** Whose balance a posting moves. Money has stock (goods at cost), the common fund and outside; portions and turns have one common account each. */
export type AccountRef =
  | { kind: 'household'; householdId: string }
  | { kind: 'stock' }
  | { kind: 'fund' }
  | { kind: 'outside' }
  | { kind: 'common' };

/** What happened; the same words as the database keeps. */
export type EntryKind =
  | 'receipt-paid'
  | 'cost-split'
  | 'adjustment'
  | 'payment'
  | 'write-off'
  | 'opening'
  | 'share-out'
  | 'claim'
  | 'release'
  | 'swap'
  | 'loss'
  | 'rota-published'
  | 'turns-not-done'
  | 'cover'
  | 'turn-swapped'
  | 'illness'
  | 'reversal';

/** Numbers and ids from which a screen builds the sentence beside a figure. */
export type Facts = Record<string, JsonValue>;

/** One move of one balance; positive: the cooperative owes the account more. */
export interface Posting {
  account: AccountRef;
  amount: bigint;
  facts?: Facts;
}

/** An entry before it has an id and a date: its postings sum to nil. */
export interface EntryDraft {
  book: Book;
  kind: EntryKind;
  postings: readonly Posting[];
}

const accountsOf: Record<Book, readonly AccountRef['kind'][]> = {
  money: ['household', 'stock', 'fund', 'outside'],
  portions: ['household', 'common'],
  turns: ['household', 'common'],
};

/**
 * The one way to an entry: drops postings of nil, and refuses what does not balance.
 * Our decision: double entry with signed amounts, as in any textbook of bookkeeping. `book`, `kind`: what it is; `postings`: amounts in
 * the book's unit. Gives a draft whose postings sum to nil. Throws `ledger-unbalanced` when they do not, or when an account is not one of
 * the book's; `invalid-input` when nothing is left to book.
 */
export function draftEntry(book: Book, kind: EntryKind, postings: readonly Posting[]): EntryDraft {
  const sum = postings.reduce((total, { amount }) => total + amount, 0n);
  if (sum !== 0n) {
    throw new DomainError('ledger-unbalanced', `The postings of this entry (${kind}) sum to ${sum} instead of nil.`, {
      params: { sum: sum.toString() },
    });
  }
  const stray = postings.find(({ account }) => !accountsOf[book].includes(account.kind));
  if (stray) {
    throw new DomainError('ledger-unbalanced', `The book of ${book} has no account of the kind ${stray.account.kind}.`);
  }
  const moving = postings.filter(({ amount }) => amount !== 0n);
  if (moving.length === 0)
    throw invalidInput([{ pointer: '#/', detail: 'There is nothing to book: every amount is nil.' }]);
  return { book, kind, postings: moving };
}

/** Whether two references mean the same account. */
export const accountKey = (account: AccountRef): string =>
  account.kind === 'household' ? `household:${account.householdId}` : account.kind;

export const household = (householdId: string): AccountRef => ({ kind: 'household', householdId });

/** An amount that must be above nil, for entries that go one way only. Throws `invalid-input`. */
export function positiveAmount(amount: bigint, pointer: string): bigint {
  if (amount <= 0n) throw invalidInput([{ pointer, detail: 'Must be more than nil.' }]);
  return amount;
}
