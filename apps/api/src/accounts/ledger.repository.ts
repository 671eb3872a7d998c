import { Injectable } from '@nestjs/common';
import { accountKey, draftEntry, requireStaying, reversalOf } from '@frostmoot/calc';
import type { AccountRef, BookedEntry, Book, EntryDraft, Facts } from '@frostmoot/calc';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** A draft of calc with what makes it an entry: why, from which document, when. */
export interface NewEntry extends EntryDraft {
  reason: string;
  facts?: Facts;
  documentId?: string | null;
  roundId?: string | null;
  reversesId?: string | null;
  /** ISO 8601 local date */
  occurredOn: string;
}

/** An entry as it stands in the books. */
export interface StoredEntry extends BookedEntry {
  documentId: string | null;
  roundId: string | null;
  facts: Facts;
}

interface AccountRow {
  id: string;
  book: Book;
  kind: AccountRef['kind'];
  householdId: string | null;
}

const keyOf = (book: Book, account: AccountRef): string => `${book} ${accountKey(account)}`;
const refOf = ({ kind, householdId }: Omit<AccountRow, 'id' | 'book'>): AccountRef =>
  kind === 'household' ? { kind, householdId: householdId as string } : { kind };
const householdOf = (account: AccountRef): string | null => (account.kind === 'household' ? account.householdId : null);

/** The books: entries go in whole, balanced and for ever. */
@Injectable()
export class LedgerRepository {
  /** Writes one entry and returns its id. */
  async post(tx: Tx, scope: Scope, entry: NewEntry): Promise<string> {
    const [id] = await this.postAll(tx, scope, [entry]);
    return id as string;
  }

  /**
   * Writes entries that belong together; all their accounts are locked first, in id order, so that parallel writers cannot wait for each other.
   * Throws `household-left` where portions would move on the account of a household that has left: its balance was bought out (ADR 62).
   */
  async postAll(tx: Tx, scope: Scope, entries: readonly NewEntry[]): Promise<string[]> {
    for (const { book, kind, postings } of entries) draftEntry(book, kind, postings);
    const accounts = await this.lockAccounts(
      tx,
      scope,
      entries.flatMap((entry) => entry.postings.map((posting) => ({ book: entry.book, account: posting.account }))),
    );
    await this.refuseLeft(tx, scope, entries);
    const ids: string[] = [];
    for (const entry of entries) ids.push(await this.insert(tx, scope, entry, accounts));
    return ids;
  }

  /** Undoes an entry by a new one that names it; refused when that has been done before. */
  reverse(tx: Tx, scope: Scope, entry: StoredEntry, because: { reason: string; occurredOn: string }): Promise<string> {
    const { book, kind, postings, reverses } = reversalOf(entry);
    return onUnique(
      this.post(tx, scope, {
        book,
        kind,
        postings,
        ...because,
        facts: { ...entry.facts, reversedKind: entry.kind },
        documentId: entry.documentId,
        roundId: entry.roundId,
        reversesId: reverses,
      }),
      { entry_cooperative_id_reverses_id_key: 'already-confirmed' },
      'This entry has been reversed before',
    );
  }

  /** One entry with its postings and, where it has one, its reversal; null when the cooperative has none of this id. */
  async find(tx: Tx, scope: Scope, id: string): Promise<StoredEntry | null> {
    const row = await tx.entry.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      include: { postings: { include: { account: true }, orderBy: { id: 'asc' } }, reversal: { select: { id: true } } },
    });
    if (!row) return null;
    return {
      id: row.id,
      book: row.book as Book,
      kind: row.kind as EntryDraft['kind'],
      documentId: row.documentId,
      roundId: row.roundId,
      facts: row.facts as Facts,
      reversedBy: row.reversal?.id,
      postings: row.postings.map(({ account, amount, facts }) => ({
        account: refOf({ kind: account.kind as AccountRef['kind'], householdId: account.householdId }),
        amount,
        facts: facts as Facts,
      })),
    };
  }

  /** The entry of a kind that a document made last and that has not been reversed. */
  async ofDocument(tx: Tx, scope: Scope, kind: EntryDraft['kind'], documentId: string): Promise<StoredEntry | null> {
    const row = await tx.entry.findFirst({
      where: { cooperativeId: scope.cooperativeId, kind, documentId, reversal: null },
      orderBy: { id: 'desc' },
      select: { id: true },
    });
    return row && this.find(tx, scope, row.id);
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
        householdId: householdOf(account),
      })),
      skipDuplicates: true,
    });
    const households = sorted.flatMap(({ account }) => householdOf(account) ?? []);
    const kinds = sorted.flatMap(({ account }) => (account.kind === 'household' ? [] : [account.kind]));
    const books = [...new Set(sorted.map(({ book }) => book))];
    const rows = await tx.$queryRaw<AccountRow[]>`
      SELECT id::text, book, kind, household_id::text AS "householdId" FROM account
      WHERE cooperative_id = ${scope.cooperativeId}::uuid AND book = ANY(${books})
        AND (household_id = ANY(${households}::uuid[]) OR (household_id IS NULL AND kind = ANY(${kinds})))
      ORDER BY id FOR UPDATE`;
    return new Map(rows.map((row) => [keyOf(row.book, refOf(row)), row.id]));
  }

  /** Asked under the lock of the accounts, which leaving holds as well. */
  private async refuseLeft(tx: Tx, { cooperativeId }: Scope, entries: readonly NewEntry[]): Promise<void> {
    for (const { book, postings, occurredOn } of entries) {
      const ids = book === 'portions' ? postings.flatMap(({ account }) => householdOf(account) ?? []) : [];
      if (ids.length === 0) continue;
      const left = await tx.household.findMany({
        where: { cooperativeId, id: { in: ids }, leftOn: { not: null } },
        select: { name: true, leftOn: true },
      });
      for (const { name, leftOn } of left) requireStaying({ name, leftOn: leftOn && fromDate(leftOn) }, occurredOn);
    }
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
