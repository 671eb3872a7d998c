import { dayNumber, parseDate } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { DateTab, StepTab } from '../../ui/date-tab.tsx';
import { ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Task } from './this-week-query.ts';

/** Whole days from one local date to another; negative when it has passed. */
export const daysBetween = (from: string, to: string): number => dayNumber(parseDate(to)) - dayNumber(parseDate(from));

/** The task's place as the router takes it. */
function placeOf(path: string): { to: string; search: Record<string, string> } {
  const { pathname, searchParams } = new URL(path, 'http://here');
  return { to: pathname, search: Object.fromEntries(searchParams) };
}

/** Every fact that some task's words name, written for the reader. */
function useTaskValues() {
  const formats = useFormats();
  return ({ facts, due }: Task) => {
    const text = (name: string) => String(facts[name] ?? '');
    const count = (name: string) => Number(facts[name] ?? 0);
    return {
      round: count('round'),
      startsAt: text('startsAt') && formats.clock(text('startsAt')),
      kitchen: text('kitchen'),
      batchesOpen: count('batchesOpen'),
      containers: count('containers'),
      portions: count('portions'),
      from: text('from'),
      households: text('households'),
      to: text('to'),
      amount: text('amountMinor') && formats.money(text('amountMinor')),
      dish: text('dish'),
      gives: text('gives') && formats.day(text('gives'), 'short'),
      gets: text('gets') && formats.day(text('gets'), 'short'),
      date: due ? formats.day(due, 'dated') : '',
    };
  };
}

/** One thing to do: what, where, with whom, by when; the first is framed and its button is the page's main act. */
export function TaskRow({ task, today, first }: { task: Task; today: string; first: boolean }) {
  const t = useT();
  const values = useTaskValues()(task);
  const { to, search } = placeOf(task.path);
  const days = task.late && task.due ? daysBetween(task.due, today) : 0;
  return (
    <ListRow
      framed={first}
      lead={task.due ? <DateTab date={task.due} /> : <StepTab>{null}</StepTab>}
      title={t(`thisWeek.task.${task.kind}`, values)}
      detail={t(`thisWeek.detail.${task.kind}`, values)}
      acts={
        <LinkButton kind={first ? 'main' : 'normal'} to={to as '/'} search={search as object}>
          {t(`thisWeek.go.${task.kind}`)}
        </LinkButton>
      }
    >
      {task.late && (
        <StateMark state="problem">
          <strong>{t(task.kind === 'use-first' ? 'thisWeek.pastBest' : 'thisWeek.late', { days })}</strong>
        </StateMark>
      )}
    </ListRow>
  );
}
