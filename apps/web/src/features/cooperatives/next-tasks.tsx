import { useQuery } from '@tanstack/react-query';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { StepTab } from '../../ui/date-tab.tsx';
import { DoList, ListRow } from '../../ui/list.tsx';
import { householdQuery } from './household-query.ts';
import { daysBetween, TaskRow } from './task-row.tsx';
import type { ThisWeek } from './this-week-query.ts';

/** What the household must do next, the earliest first. */
export function NextTasks({ week }: { week: ThisWeek }) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId, householdId, can } = useSession();
  const household = useQuery(householdQuery(cooperativeId, householdId)).data;
  const nobodyEats = household?.diners.length === 0 && can('adult', 'buyer', 'coordinator');
  const { tasks, today } = week;
  const isPastBest = tasks.some(({ kind, late }) => kind === 'use-first' && late);
  return (
    <Card title={t('thisWeek.next')} aside={tasks.length > 0 ? <Summary week={week} /> : undefined}>
      {tasks.length === 0 && !nobodyEats ? (
        <NothingToDo week={week} />
      ) : (
        <DoList>
          {nobodyEats && <WhoEatsRow />}
          {tasks.map((task, index) => (
            <TaskRow
              key={`${task.kind} ${task.path} ${index}`}
              task={task}
              today={today}
              first={index === 0 && !nobodyEats}
            />
          ))}
        </DoList>
      )}
      {isPastBest && (
        <Note>
          <p>{t('thisWeek.pastBestNote', { cold: formats.unit('-18', 'celsius', { least: 0, most: 0 }) })}</p>
        </Note>
      )}
    </Card>
  );
}

function Summary({ week: { tasks, today } }: { week: ThisWeek }) {
  const t = useT();
  const n = tasks.length;
  const late = tasks.filter((task) => task.late && task.kind !== 'use-first').length;
  const due = tasks.find((task) => task.due !== null)?.due;
  if (late > 0) return t('thisWeek.lateCount', { n, late });
  return due ? t('thisWeek.dueIn', { n, days: daysBetween(today, due) }) : t('thisWeek.count', { n });
}

function WhoEatsRow() {
  const t = useT();
  return (
    <ListRow
      framed
      lead={<StepTab>{null}</StepTab>}
      title={t('thisWeek.step.eat')}
      detail={t('thisWeek.step.eat.detail')}
      acts={
        <LinkButton kind="main" to="/household">
          {t('thisWeek.step.eat.go')}
        </LinkButton>
      }
    />
  );
}

function NothingToDo({ week }: { week: ThisWeek }) {
  const t = useT();
  const { can } = useSession();
  if (week.round) return <Empty title={t('thisWeek.emptyTitle')}>{t('thisWeek.emptyWords')}</Empty>;
  return can('coordinator') ? (
    <Empty
      title={t('thisWeek.noRound')}
      action={
        <LinkButton kind="main" to="/round/start">
          {t('thisWeek.startRound')}
        </LinkButton>
      }
    >
      {t('thisWeek.noRoundWords')}
    </Empty>
  ) : (
    <Empty title={t('thisWeek.noRound')}>{t('thisWeek.noRoundWait')}</Empty>
  );
}
