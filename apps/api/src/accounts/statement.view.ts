import type { Book } from '@frostmoot/calc';
import type { statement } from '@frostmoot/contract';
import type { z } from 'zod';
import type { StatementRow } from './accounts.repository.ts';

export type StatementView = z.infer<typeof statement>;
type Line = StatementView['lines'][number];

/** Only what a sentence can say: texts and numbers. */
function plainFacts(...facts: Record<string, unknown>[]): Line['facts'] {
  const pairs = facts.flatMap((record) => Object.entries(record));
  return Object.fromEntries(
    pairs.filter((pair): pair is [string, string | number] => ['string', 'number'].includes(typeof pair[1])),
  );
}

const lineOf = (row: StatementRow): Line => ({
  entryId: row.entry_id,
  kind: row.kind,
  on: row.occurred_on,
  reason: row.reason,
  facts: plainFacts(row.entry_facts, row.posting_facts),
  amount: row.amount.toString(),
  balance: row.balance.toString(),
  reverses: row.reverses_id,
  reversed: row.reversed,
  documentId: row.document_id,
  roundNumber: row.round_number,
  by: row.by ?? '',
  at: row.created_at.toISOString(),
});

/** A household's statement; the running balance is summed by the database over all its postings. */
export function statementView(
  household: { id: string; name: string },
  book: Book,
  rows: readonly StatementRow[],
): StatementView {
  return { household, book, balance: (rows.at(-1)?.balance ?? 0n).toString(), lines: rows.map(lineOf) };
}
