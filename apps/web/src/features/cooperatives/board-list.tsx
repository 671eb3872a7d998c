import { useFormats } from '../../lib/formats.ts';
import { T, useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { datesOf, isPlanned, missingCooks, turnOf, turnsIn } from './board-weeks.ts';
import type { ThisWeek, Week } from './this-week-query.ts';

/** The weeks below one another, for a phone; the own ones washed. */
export function BoardList({ week }: { week: ThisWeek }) {
  return (
    <ul className="board-list" role="list">
      {week.weeks.map((each) => (
        <WeekRow key={each.weekOf} week={each} />
      ))}
    </ul>
  );
}

function WeekRow({ week }: { week: Week }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const own = turnOf(week, householdId);
  const others = turnsIn(week).filter(({ household }) => household.id !== householdId);
  const isDraft = turnsIn(week).some(({ state }) => state === 'planned');
  return (
    <li className={own ? 'board-row board-row-mine' : 'board-row'}>
      <strong>{formats.list(datesOf(week).map((date) => formats.day(date, 'short')))}</strong>
      <div>
        {!isPlanned(week) && (
          <span className="soft">{t(week.noCooking ? 'thisWeek.noCooking' : 'thisWeek.nobody')}</span>
        )}
        {turnsIn(week).length > 0 && (
          <div>
            <Cooks names={others.map(({ household }) => household.name)} mine={own !== null} />
          </div>
        )}
        {week.cookDays.map(({ id, kitchen, startsAt }) => (
          <div className="small soft" key={id}>
            {t('thisWeek.kitchenFrom', { kitchen: kitchen.name, time: formats.clock(startsAt) })}
          </div>
        ))}
        {isDraft && (
          <div className="small">
            <StateMark state="setAside">{t('thisWeek.draft')}</StateMark>
          </div>
        )}
        {missingCooks([week]).length > 0 && <StateMark state="free">{t('thisWeek.needsCook')}</StateMark>}
      </div>
    </li>
  );
}

/** "You cook, with Birch" or the cooks' names. */
function Cooks({ names, mine }: { names: readonly string[]; mine: boolean }) {
  const formats = useFormats();
  if (!mine) return formats.list(names);
  if (names.length === 0) return <T k="thisWeek.youCook" />;
  return <T k="thisWeek.youCookWith" values={{ others: formats.list(names) }} />;
}
