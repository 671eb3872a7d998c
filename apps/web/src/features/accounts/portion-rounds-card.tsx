import { useQuery } from '@tanstack/react-query';
import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { DataTable, type Column } from '../../ui/data-table.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { portionRoundsQuery, type PortionRounds } from './account-queries.ts';
import { useBalanceWords } from './balance-words.ts';

type Row = PortionRounds['total'];
const MICRO = 1_000_000n;

/** A household's portions by round, the newest first, and in all. */
export function PortionRoundsCard({ of }: { of: { id: string; name: string } }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const query = useQuery(portionRoundsQuery(cooperativeId, of.id));
  return (
    <Card title={t('accounts.byRound')} aside={t('accounts.newestFirst')} id="by-round">
      <QueryView query={query} lines={4}>
        {(data) =>
          data.rounds.length === 0 ? (
            <Empty title={t('accounts.noEntries')}>{t('accounts.noPortionEntriesWords')}</Empty>
          ) : (
            <>
              <Rounds data={data} />
              <Note>
                <p>{t('accounts.byRound.words')}</p>
              </Note>
            </>
          )
        }
      </QueryView>
    </Card>
  );
}

function Rounds({ data: { rounds, total } }: { data: PortionRounds }) {
  const t = useT();
  const formats = useFormats();
  const words = useBalanceWords();
  const plain = (micro: string, sign: 'auto' | 'exceptZero' = 'auto') =>
    formats.quantity(rational.rational(BigInt(micro), MICRO), { least: 0, most: 2 }, sign);
  const column = (key: 'due' | 'received' | 'swapped' | 'other', signed: boolean): Column<Row> => {
    const value = (row: Row) => plain(row[`${key}Micro`], signed ? 'exceptZero' : 'auto');
    const head = t(`accounts.byRound.${key}`);
    return { key, head, number: true, phone: { word: head }, cell: value, foot: value(total) };
  };
  const columns: Column<Row>[] = [
    {
      key: 'round',
      head: t('accounts.byRound.round'),
      rowHead: true,
      cell: ({ roundNumber }) =>
        roundNumber === null ? t('accounts.byRound.before') : t('common.roundNumber', { number: roundNumber }),
      foot: t('accounts.byRound.all'),
    },
    column('due', false),
    column('received', false),
    column('swapped', true),
    column('other', true),
    {
      key: 'carried',
      head: t('accounts.byRound.after'),
      number: true,
      phone: { word: t('accounts.byRound.after'), wide: true },
      cell: ({ carriedMicro }) => words.portions(carriedMicro),
      foot: words.portions(total.carriedMicro),
    },
  ];
  return (
    <DataTable
      caption={t('accounts.byRound')}
      columns={columns}
      rows={[...rounds].reverse()}
      rowKey={({ roundNumber, dueMicro }) => `${roundNumber ?? 'before'} ${dueMicro}`}
    />
  );
}
