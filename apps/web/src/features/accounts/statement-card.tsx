import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { saveCsv } from '../../lib/csv.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { statementQuery, type Book, type Statement, type StatementLine } from './account-queries.ts';
import { lineWords, type LineWords } from './line-words.ts';
import { statementCsv } from './statement-csv.ts';
import { StatementTable } from './statement-table.tsx';
import { TakeBackDialog } from './take-back-dialog.tsx';

/** One household's book line by line, the newest first; its amounts say why they are what they are. */
export function StatementCard({ of, book }: { of: { id: string; name: string }; book: Book }) {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const query = useQuery(statementQuery(cooperativeId, of.id, book));
  const title = t(TITLES[book]);
  const isOurs = of.id === householdId;
  return (
    <div className="statement">
      <Card
        id="statement"
        title={isOurs ? title : t('accounts.bookOf', { household: of.name, book: title })}
        aside={t('accounts.newestFirst')}
      >
        <QueryView query={query} lines={6}>
          {(statement) => <Lines statement={statement} title={title} />}
        </QueryView>
        <Acts of={of} book={book} statement={query.data} />
      </Card>
    </div>
  );
}

const BOOKS = ['money', 'portions', 'turns'] as const;
const TITLES = { money: 'accounts.bookMoney', portions: 'accounts.bookPortions', turns: 'accounts.bookTurns' } as const;
const NO_ENTRIES = {
  money: 'accounts.noEntriesWords',
  portions: 'accounts.noPortionEntriesWords',
  turns: 'accounts.noTurnEntriesWords',
} as const;

const newestFirst = ({ lines }: Statement): StatementLine[] => [...lines].reverse();

function useWords(statement: Statement | undefined): (line: StatementLine) => LineWords {
  const t = useT();
  const formats = useFormats();
  const { householdId, cooperative } = useSession();
  const view = {
    household: statement?.household.name ?? '',
    us: statement?.household.id === householdId,
    dateOf: (entryId: string) => statement?.lines.find((line) => line.entryId === entryId)?.on,
  };
  return (line) => lineWords(line, view, t, formats, cooperative.currencyDigits);
}

function Lines({ statement, title }: { statement: Statement; title: string }) {
  const t = useT();
  const words = useWords(statement);
  const [takingBack, setTakingBack] = useState<StatementLine | null>(null);
  if (statement.lines.length === 0) {
    return <Empty title={t('accounts.noEntries')}>{t(NO_ENTRIES[statement.book])}</Empty>;
  }
  return (
    <>
      <StatementTable
        caption={title}
        statement={statement}
        lines={newestFirst(statement)}
        words={words}
        onTakeBack={setTakingBack}
      />
      {takingBack && <TakeBackDialog line={takingBack} onClose={() => setTakingBack(null)} />}
    </>
  );
}

function Acts({ of, book, statement }: { of: { id: string }; book: Book; statement: Statement | undefined }) {
  const t = useT();
  const { householdId } = useSession();
  return (
    <Row>
      {BOOKS.filter((other) => other !== book).map((other) => (
        <LinkButton key={other} to="/accounts" search={(old: object) => ({ ...old, book: other })} resetScroll={false}>
          {t(TITLES[other])}
        </LinkButton>
      ))}
      {of.id !== householdId && (
        <LinkButton to="/accounts" search={{ book }} resetScroll={false}>
          {t('accounts.backToOurs')}
        </LinkButton>
      )}
      {statement && statement.lines.length > 0 && <ExportButton statement={statement} />}
      <PrintButton />
    </Row>
  );
}

function ExportButton({ statement }: { statement: Statement }) {
  const t = useT();
  const words = useWords(statement);
  const { cooperative } = useSession();
  const heads = [
    t('accounts.column.date'),
    t('accounts.column.what'),
    t('accounts.column.change'),
    t('accounts.column.balance'),
    t('accounts.column.round'),
    t('accounts.column.by'),
    t('accounts.column.at'),
    t('accounts.column.entry'),
  ];
  const save = () =>
    saveCsv(
      `${t('accounts.fileName')}-${statement.household.name}-${statement.book}-${cooperative.today}.csv`,
      statementCsv(statement, newestFirst(statement), words, heads, cooperative.currencyDigits),
    );
  return <Button onPress={save}>{t('common.export')}</Button>;
}
