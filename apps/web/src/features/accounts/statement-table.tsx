import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Statement, StatementLine } from './account-queries.ts';
import { useBalanceWords } from './balance-words.ts';
import type { LineWords } from './line-words.ts';

const MICRO = 1_000_000n;

interface StatementTableProps {
  caption: string;
  statement: Statement;
  lines: readonly StatementLine[];
  words: (line: StatementLine) => LineWords;
  onTakeBack: (line: StatementLine) => void;
}

export function StatementTable(props: StatementTableProps) {
  const t = useT();
  const formats = useFormats();
  const isMoney = props.statement.book === 'money';
  const amounts = useAmounts(props.statement.book);
  const unit = formats.currencySymbol;
  const columns: Column<StatementLine>[] = [
    {
      key: 'date',
      head: t('accounts.column.date'),
      cell: ({ on }) => <span className="statement-date">{formats.day(on, 'short')}</span>,
    },
    {
      key: 'what',
      head: t('accounts.column.what'),
      rowHead: true,
      cell: (line) => <What {...props} line={line} />,
    },
    {
      key: 'change',
      head: isMoney ? t('accounts.column.changeIn', { unit }) : t('accounts.column.change'),
      number: true,
      cell: ({ amount }) => <strong>{amounts.change(amount)}</strong>,
    },
    {
      key: 'balance',
      head: isMoney ? t('accounts.column.balanceIn', { unit }) : t('accounts.column.balance'),
      number: true,
      phone: { word: t('accounts.after'), end: true },
      cell: ({ balance }) => amounts.balance(balance),
    },
  ];
  return (
    <DataTable
      caption={props.caption}
      columns={columns}
      rows={props.lines}
      rowKey={(line) => keyOf(line, props.lines)}
    />
  );
}

/** An entry may have two lines in one book: what was due, and what was received. */
const keyOf = (line: StatementLine, lines: readonly StatementLine[]): string =>
  `${line.entryId} ${lines.indexOf(line)}`;

function useAmounts(book: Statement['book']) {
  const formats = useFormats();
  const words = useBalanceWords();
  if (book === 'money') {
    return {
      change: (minor: string) => formats.amount(minor, 'exceptZero'),
      balance: (minor: string) => formats.amount(minor),
    };
  }
  return {
    change: (micro: string) =>
      formats.quantity(rational.rational(BigInt(micro), MICRO), { least: 0, most: 2 }, 'exceptZero'),
    balance: words[book],
  };
}

function What({ line, words, statement, onTakeBack }: StatementTableProps & { line: StatementLine }) {
  const t = useT();
  const { can, householdId } = useSession();
  const { title, sentences } = words(line);
  const concernsUs = statement.household.id === householdId && can('adult', 'buyer');
  const mayTakeBack = line.kind === 'payment' && !line.reversed && (can('coordinator') || concernsUs);
  return (
    <>
      {title}
      {sentences.length > 0 && <CellNote>{sentences.join(' ')}</CellNote>}
      {line.reversed && (
        <CellNote>
          <StateMark state="done">{t('accounts.isTakenBack')}</StateMark>
        </CellNote>
      )}
      {mayTakeBack && (
        <span className="statement-act">
          <Button kind="plain" onPress={() => onTakeBack(line)}>
            {t('accounts.takeBack')}
          </Button>
        </span>
      )}
    </>
  );
}
