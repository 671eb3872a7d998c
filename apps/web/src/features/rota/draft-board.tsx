import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Draft, DraftWeek } from './rota-queries.ts';
import { WeekDialog } from './week-dialog.tsx';

/** The weeks of a draft with who cooks in them; each week opens to be set by hand. */
export function DraftBoard({ draft }: { draft: Draft }) {
  const t = useT();
  const [open, setOpen] = useState<string | null>(null);
  const week = draft.weeks.find(({ weekOf }) => weekOf === open);
  return (
    <Card title={t('rota.draft')} aside={t(`rota.proof.${draft.proof as 'optimal' | 'bounded' | 'constructive'}`)}>
      <List ordered>
        {draft.weeks.map((each) => (
          <WeekRow key={each.weekOf} week={each} onOpen={() => setOpen(each.weekOf)} />
        ))}
      </List>
      {week && <WeekDialog key={week.weekOf} draft={draft} week={week} onClose={() => setOpen(null)} />}
    </Card>
  );
}

function WeekRow({ week, onOpen }: { week: DraftWeek; onOpen: () => void }) {
  const t = useT();
  const formats = useFormats();
  const { weekOf, team, turns, dishes } = week;
  const missing = team - turns.length;
  return (
    <ListRow
      lead={<DateTab date={weekOf} withoutWeekday />}
      title={turns.length > 0 ? formats.list(turns.map(({ household }) => household.name)) : t('thisWeek.noCooking')}
      detail={dishes.length > 0 ? formats.list(dishes.map(({ name }) => name)) : undefined}
      acts={
        <Button onPress={onOpen}>
          {t('common.change')}
          <span className="hidden"> {formats.day(weekOf, 'short')}</span>
        </Button>
      }
    >
      {turns.length > 0 && (
        <span className="small rota-states">
          {turns.some(({ published }) => published) && <StateMark state="taken">{t('thisWeek.published')}</StateMark>}
          {turns.some(({ published }) => !published) && <StateMark state="setAside">{t('thisWeek.draft')}</StateMark>}
          {turns.some(({ kept, published }) => kept && !published) && (
            <StateMark state="done">{t('rota.kept')}</StateMark>
          )}
        </span>
      )}
      {missing > 0 && <StateMark state="free">{t('rota.missing', { n: missing })}</StateMark>}
    </ListRow>
  );
}
