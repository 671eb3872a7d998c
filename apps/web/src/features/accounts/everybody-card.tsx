import { Link } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { rational } from '@frostmoot/calc';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { DataTable, type Column } from '../../ui/data-table.tsx';
import type { Accounts } from './account-queries.ts';
import { useBalanceWords } from './balance-words.ts';

type Row = Accounts['households'][number];

/** The whole cooperative's balances; each name leads to that household's statement. */
export function EverybodyCard({ accounts }: { accounts: Accounts }) {
  const t = useT();
  const { householdId } = useSession();
  return (
    <Card title={t('accounts.everybody')}>
      <DataTable
        caption={t('accounts.everybody')}
        columns={useColumns()}
        rows={accounts.households}
        rowKey={({ household }) => household.id}
        mine={({ household }) => household.id === householdId}
      />
      <Note>
        <p>{t('accounts.everybody.open')}</p>
        <p>{t('accounts.everybody.carriedWords')}</p>
      </Note>
    </Card>
  );
}

function useColumns(): Column<Row>[] {
  const t = useT();
  const words = useBalanceWords();
  const formats = useFormats();
  const { cooperative } = useSession();
  const smallest = rational.rational(10n ** BigInt(cooperative.currencyDigits));
  const digits = { least: cooperative.currencyDigits, most: cooperative.currencyDigits + 2 };
  return [
    {
      key: 'household',
      head: t('accounts.everybody.household'),
      rowHead: true,
      cell: ({ household }) => (
        <Link
          className="name-link"
          to="/accounts"
          search={(old: object) => ({ ...old, household: household.id })}
          hash="statement"
        >
          {household.name}
        </Link>
      ),
    },
    {
      key: 'money',
      head: t('accounts.money'),
      number: true,
      phone: { word: t('accounts.money'), wide: true },
      cell: ({ moneyMinor }) => words.money(moneyMinor),
    },
    {
      key: 'portions',
      head: t('accounts.portions'),
      number: true,
      phone: { word: t('accounts.portions'), wide: true },
      cell: ({ portionsMicro }) => words.portions(portionsMicro),
    },
    {
      key: 'turns',
      head: t('accounts.turns'),
      number: true,
      phone: { word: t('accounts.turns'), wide: true },
      cell: ({ turnsMicro }) => words.turns(turnsMicro),
    },
    {
      key: 'carried',
      head: t('accounts.everybody.carried'),
      number: true,
      phone: { word: t('accounts.everybody.carried'), wide: true },
      cell: ({ carriedMinor }) =>
        formats.quantity(rational.div(rational.parse(carriedMinor), smallest), digits, 'exceptZero'),
    },
  ];
}
