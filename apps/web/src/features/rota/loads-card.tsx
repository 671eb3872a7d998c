import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card } from '../../ui/card.tsx';
import { DataTable, type Column } from '../../ui/data-table.tsx';
import type { Draft } from './rota-queries.ts';

type Load = Draft['loads'][number];

/** The square of half a hundredth, below which two digits show 0. */
const LEAST_SHOWN = rational.rational(1n, 40_000n);

/** Turns given against turns due, and what is carried to the next rota. */
export function LoadsCard({ draft }: { draft: Draft }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const digits = { least: 0, most: 2 };
  const after = (owed: string): string => {
    const value = rational.parse(owed);
    // What would be shown as 0 is nil: the books round to millionths of a turn.
    if (rational.cmp(rational.mul(value, value), LEAST_SHOWN) < 0) return t('common.nil');
    const turns = formats.quantity(value.n < 0n ? rational.sub(rational.zero, value) : value, digits);
    return t(value.n < 0n ? 'rota.ahead' : 'rota.toCook', { turns });
  };
  const columns: Column<Load>[] = [
    { key: 'household', head: t('thisWeek.household'), rowHead: true, cell: ({ household }) => household.name },
    {
      key: 'given',
      head: t('rota.given'),
      number: true,
      cell: ({ given }) => <strong>{formats.number(given)}</strong>,
    },
    { key: 'due', head: t('rota.due'), number: true, cell: ({ target }) => formats.quantity(target, digits) },
    { key: 'after', head: t('rota.after'), number: true, cell: ({ owedAfter }) => after(owedAfter) },
  ];
  return (
    <Card title={t('rota.loads')}>
      <DataTable
        caption={t('rota.loads')}
        columns={columns}
        rows={draft.loads}
        rowKey={({ household }) => household.id}
        mine={({ household }) => household.id === householdId}
        onPhone="table"
      />
      <p className="small soft">{t('rota.loadsNote')}</p>
    </Card>
  );
}
