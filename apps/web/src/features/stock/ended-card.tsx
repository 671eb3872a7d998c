import { useFormats } from '../../lib/formats.ts';
import { useLocale, useT } from '../../lib/locale.tsx';
import { PartsBar } from '../../ui/bars.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DataTable } from '../../ui/data-table.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { endedWords } from './ended-words.ts';
import type { Freezer } from './freezer-query.ts';
import { endedOn, endsByMonth } from './use-first.ts';
import type { Stock } from './use-stock.ts';

const MONTHS = 6;

/** What was eaten, thrown away or lost, by month; what was said today can be taken back here too. */
export function EndedCard({ freezer, stock, mayAct }: { freezer: Freezer; stock: Stock; mayAct: boolean }) {
  const t = useT();
  const { locale } = useLocale();
  const formats = useFormats();
  const months = endsByMonth(freezer.ended, formats.dateOf).slice(0, MONTHS);
  const today = endedOn(freezer.ended, freezer.today, formats.dateOf);
  const most = Math.max(1, ...months.map(({ eaten, thrownAway }) => eaten + thrownAway));
  const monthName = (month: string) =>
    new Intl.DateTimeFormat(locale, { month: 'long', year: 'numeric', timeZone: 'UTC' }).format(
      new Date(`${month}-01T00:00:00Z`),
    );
  const lost = months.reduce((sum, month) => sum + month.lost, 0);
  return (
    <Card title={t('freezer.endedTitle')}>
      <p>
        {t('freezer.endedWords', { eaten: freezer.portionsEaten, thrown: freezer.portionsThrownAway })}
        {lost > 0 && <> {t('freezer.lostWords', { n: lost })}</>}
      </p>
      {months.length > 0 && (
        <DataTable
          caption={t('freezer.byMonth')}
          onPhone="table"
          rows={months}
          rowKey={({ month }) => month}
          columns={[
            { key: 'month', head: t('freezer.month'), rowHead: true, cell: ({ month }) => monthName(month) },
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
          ]}
        />
      )}
      {today.length > 0 && (
        <>
          <h3>{t('freezer.endedToday')}</h3>
          <List small>
            {today.map((container) => (
              <ListRow
                key={container.id}
                title={container.dish}
                detail={
                  <>
                    {endedWords(container, t)} · <LabelCodes codes={[container.code]} />
                  </>
                }
                acts={
                  mayAct && (
                    <Button
                      kind="plain"
                      aria-label={t('freezer.undoNamed', { dish: container.dish, code: container.code })}
                      isPending={stock.restore.isPending && stock.restore.variables?.id === container.id}
                      onPress={() => stock.restore.mutate(container)}
                    >
                      {t('common.undo')}
                    </Button>
                  )
                }
              />
            ))}
          </List>
        </>
      )}
    </Card>
  );
}
