import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import { toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type Book = 'money' | 'portions';
export type AccountKind = 'household' | 'stock' | 'fund' | 'outside' | 'common';
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
  | 'reversal';
export type Facts = Record<string, string | number>;

/** An account by what it is for; `householdId` belongs to the kind `household` and to no other. */
export interface AccountRef {
  kind: AccountKind;
  householdId?: string | null;
}

/** Amount in minor units (money) or micro-portions (portions); positive: the cooperative owes the household more. */
export interface NewPosting {
  account: AccountRef;
  amount: bigint;
  facts?: Facts;
}

export interface NewEntry {
  book: Book;
  kind: EntryKind;
  reason: string;
  facts?: Facts;
  documentId?: string | null;
  roundId?: string | null;
  reversesId?: string | null;
  /** ISO 8601 local date */
  occurredOn: string;
  postings: readonly NewPosting[];
}

const keyOf = (book: Book, account: AccountRef): string => `${book} ${account.kind} ${account.householdId ?? ''}`;

/** The books: entries go in whole, balanced and for ever. */
@Injectable()
export class LedgerRepository {
  /** Writes one entry and returns its id. */
  async post(tx: Tx, scope: Scope, entry: NewEntry): Promise<string> {
    const [id] = await this.postAll(tx, scope, [entry]);
    return id as string;
  }

  /** Writes entries that belong together; all their accounts are locked first, in id order, so that parallel writers cannot wait for each other. */
  async postAll(tx: Tx, scope: Scope, entries: readonly NewEntry[]): Promise<string[]> {
    for (const entry of entries) refuseUnbalanced(entry);
    const accounts = await this.lockAccounts(
      tx,
      scope,
      entries.flatMap((entry) => entry.postings.map((posting) => ({ book: entry.book, account: posting.account }))),
    );
    const ids: string[] = [];
    for (const entry of entries) ids.push(await this.insert(tx, scope, entry, accounts));
    return ids;
  }

  /** Makes accounts that do not exist yet and locks all of them until the transaction ends; the answer maps book, kind and household to the account's id. */
  async lockAccounts(
    tx: Tx,
    scope: Scope,
    wanted: readonly { book: Book; account: AccountRef }[],
  ): Promise<Map<string, string>> {
    const refs = new Map(wanted.map(({ book, account }) => [keyOf(book, account), { book, account }]));
    const sorted = [...refs.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, ref]) => ref);
    await tx.account.createMany({
      data: sorted.map(({ book, account }) => ({
        cooperativeId: scope.cooperativeId,
        id: newId(),
        book,
        kind: account.kind,
        householdId: account.householdId ?? null,
      })),
      skipDuplicates: true,
    });
    const households = sorted.flatMap(({ account }) => (account.householdId ? [account.householdId] : []));
    const kinds = sorted.flatMap(({ account }) => (account.householdId ? [] : [account.kind as string]));
    const books = [...new Set(sorted.map(({ book }) => book as string))];
    const rows = await tx.$queryRaw<{ id: string; book: Book; kind: AccountKind; household_id: string | null }[]>`
      SELECT id, book, kind, household_id FROM account
      WHERE cooperative_id = ${scope.cooperativeId}::uuid AND book = ANY(${books})
        AND (household_id = ANY(${households}::uuid[]) OR (household_id IS NULL AND kind = ANY(${kinds})))
      ORDER BY id FOR UPDATE`;
    return new Map(rows.map((row) => [keyOf(row.book, { kind: row.kind, householdId: row.household_id }), row.id]));
  }

  private async insert(tx: Tx, scope: Scope, entry: NewEntry, accounts: Map<string, string>): Promise<string> {
    const { cooperativeId, personId } = scope;
    const id = newId();
    await tx.entry.create({
      data: {
        cooperativeId,
        id,
        book: entry.book,
        kind: entry.kind,
        reason: entry.reason,
        facts: entry.facts ?? {},
        documentId: entry.documentId ?? null,
        roundId: entry.roundId ?? null,
        reversesId: entry.reversesId ?? null,
        occurredOn: toDate(entry.occurredOn),
        createdBy: personId,
      },
      select: { id: true },
    });
    await tx.posting.createMany({
      data: entry.postings.map((posting) => ({
        cooperativeId,
        id: newId(),
        entryId: id,
        accountId: accounts.get(keyOf(entry.book, posting.account)) as string,
        amount: posting.amount,
        facts: posting.facts ?? {},
      })),
    });
    return id;
  }
}

function refuseUnbalanced(entry: NewEntry): void {
  const total = entry.postings.reduce((sum, posting) => sum + posting.amount, 0n);
  if (total !== 0n || entry.postings.length === 0) {
    throw new DomainError('ledger-unbalanced', `The postings of an entry must sum to nil; these sum to ${total}.`);
  }
}
