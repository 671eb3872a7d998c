import { useId } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { StateShapeIcon } from '../../ui/state-mark.tsx';
import { datesOf, isPlanned, missingCooks, turnOf, type TurnCount } from './board-weeks.ts';
import type { ThisWeek, Week } from './this-week-query.ts';

const WORD_OF = { taken: 'published', setAside: 'draft', done: 'cooked' } as const;

/** Households by weeks; a shape is a turn, and every cell has its words. */
export function BoardTable({ week, counts }: { week: ThisWeek; counts?: ReadonlyMap<string, TurnCount> }) {
  const t = useT();
  const captionId = useId();
  const { householdId } = useSession();
  const { weeks, households } = week;
  return (
    <div className="table-scroll">
      <table className="table table-ruled board" aria-labelledby={captionId}>
        <caption className="hidden" id={captionId}>
          {t('thisWeek.board')}
        </caption>
        <thead>
          <tr>
            <th scope="col">{t('thisWeek.household')}</th>
            {weeks.map((each) => (
              <WeekHead key={each.weekOf} week={each} />
            ))}
            <th scope="col" className="number">
              {t('thisWeek.turns')}
            </th>
          </tr>
        </thead>
        <tbody>
          {households.map(({ id, name }) => (
            <tr key={id} className={id === householdId ? 'table-mine' : undefined}>
              <th scope="row">{name}</th>
              {weeks.map((each) => (
                <TurnCell key={each.weekOf} week={each} householdId={id} />
              ))}
              <td className="number">
                <Turns count={counts?.get(id)} />
              </td>
            </tr>
          ))}
          {missingCooks(weeks).length > 0 && <NobodyRow weeks={weeks} />}
        </tbody>
      </table>
    </div>
  );
}

function WeekHead({ week }: { week: Week }) {
  const t = useT();
  const formats = useFormats();
  const planned = isPlanned(week);
  return (
    <th scope="col" className={planned ? 'board-week' : 'board-week table-off'}>
      <span className="board-date">{formats.list(datesOf(week).map((date) => formats.day(date, 'short')))}</span>
      {!planned && <span className="board-note">{t(week.noCooking ? 'thisWeek.noCooking' : 'thisWeek.nobody')}</span>}
    </th>
  );
}

function TurnCell({ week, householdId }: { week: Week; householdId: string }) {
  const t = useT();
  const shape = turnOf(week, householdId);
  return (
    <td className={isPlanned(week) ? 'board-cell' : 'board-cell table-off'}>
      {shape && <StateShapeIcon state={shape} />}
      <span className="hidden">{t(shape ? `thisWeek.${WORD_OF[shape]}` : 'thisWeek.noTurn')}</span>
    </td>
  );
}

function Turns({ count }: { count: TurnCount | undefined }) {
  const formats = useFormats();
  if (!count) return null;
  return (
    <>
      <strong>{formats.number(count.given)}</strong>
      {count.fair !== null && <span className="soft"> ({formats.quantity(count.fair, { least: 0, most: 1 })})</span>}
    </>
  );
}

function NobodyRow({ weeks }: { weeks: readonly Week[] }) {
  const t = useT();
  const formats = useFormats();
  return (
    <tr>
      <th scope="row" className="soft">
        {t('thisWeek.nobody')}
      </th>
      {weeks.map((week) => {
        const open = missingCooks([week]).length > 0;
        return (
          <td key={week.weekOf} className={isPlanned(week) ? 'board-cell' : 'board-cell table-off'}>
            {open && <StateShapeIcon state="free" />}
            <span className="hidden">{t(open ? 'thisWeek.needsCook' : 'thisWeek.noTurn')}</span>
          </td>
        );
      })}
      <td className="number">{formats.number(missingCooks(weeks).length)}</td>
    </tr>
  );
}
