import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useLocale, useT } from '../../lib/locale.tsx';
import { PartsBar } from '../../ui/bars.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import type { Freezer } from './freezer-query.ts';

type Became = Pick<Freezer['byMonth'][number], 'eaten' | 'thrownAway' | 'givenAway' | 'lost'>;
const SHOWN = 6;

/** What became of portions by month and by round, as numbers with a bar beside them, and what an eaten portion has cost. */
export function BecameTables({ freezer }: { freezer: Freezer }) {
  const t = useT();
  const { locale } = useLocale();
  const formats = useFormats();
  const columns = useBecameColumns();
  const months = freezer.byMonth.slice(0, SHOWN);
  const rounds = freezer.byRound.slice(0, SHOWN);
  const money = (minor: string) => formats.money(rational.round(rational.parse(minor)).toString());
  const monthName = (month: string) =>
    new Intl.DateTimeFormat(locale, { month: 'long', year: 'numeric', timeZone: 'UTC' }).format(
      new Date(`${month}-01T00:00:00Z`),
    );
  if (months.length === 0) return null;
  const perEaten = freezer.costPerEatenPortionMinor;
  return (
    <>
      <DataTable
        caption={t('freezer.byMonth')}
        onPhone="table"
        rows={months}
        rowKey={({ month }) => month}
        columns={columns(months, {
          key: 'month',
          head: t('freezer.month'),
          rowHead: true,
          cell: (row) => <Named name={monthName(row.month)} row={row} />,
        })}
      />
      <DataTable
        caption={t('freezer.byRound')}
        onPhone="table"
        rows={rounds}
        rowKey={({ roundNumber }) => String(roundNumber)}
        columns={columns(rounds, {
          key: 'round',
          head: t('freezer.round'),
          rowHead: true,
          cell: (row) => (
            <>
              <Named name={t('common.roundNumber', { number: row.roundNumber })} row={row} />
              {row.costPerPortionMinor !== null && (
                <CellNote>
                  {t('freezer.cost')}: {money(row.costPerPortionMinor)}
                </CellNote>
              )}
            </>
          ),
        })}
      />
      <p className="small soft">{t('freezer.barWords')}</p>
      {freezer.portionsEaten > 0 && (
        <p>{perEaten === null ? t('freezer.costUnknown') : t('freezer.costEaten', { cost: money(perEaten) })}</p>
      )}
    </>
  );
}

/** What was neither eaten nor thrown away stands below the name, where there is any. */
function Named({ name, row: { givenAway, lost } }: { name: string; row: Became }) {
  const t = useT();
  return (
    <>
      {name}
      {givenAway + lost > 0 && <CellNote>{t('freezer.gone', { given: givenAway, lost })}</CellNote>}
    </>
  );
}

function useBecameColumns() {
  const t = useT();
  const formats = useFormats();
  return <Row extends Became>(rows: readonly Row[], first: Column<Row>): Column<Row>[] => {
    const most = Math.max(1, ...rows.map(({ eaten, thrownAway }) => eaten + thrownAway));
    return [
      first,
      { key: 'eaten', head: t('freezer.eaten'), number: true, cell: ({ eaten }) => formats.number(eaten) },
      {
        key: 'thrownAway',
        head: t('freezer.thrownAway'),
        number: true,
        cell: ({ thrownAway }) => formats.number(thrownAway),
      },
      {
        key: 'bar',
        head: t('freezer.bar'),
        headHidden: true,
        cell: ({ eaten, thrownAway }) => <PartsBar full={eaten} hatched={thrownAway} most={most} />,
      },
    ];
  };
}
