import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { Columns, Stack } from '../../ui/page.tsx';
import { CheckCard } from './check-card.tsx';
import { checksOf } from './checks.ts';
import { CoolingCard } from './cooling-card.tsx';
import { dayOf, lastDone, myStep, type Day } from './day-now.ts';
import { MyStepCard, MyStepDock } from './my-step.tsx';
import { RunChart } from './run-chart.tsx';
import { RunList } from './run-list.tsx';
import type { EnterStep, RunSheet } from './run-sheet-query.ts';
import { TimersCard } from './timers-card.tsx';
import { useDuration } from './use-duration.ts';
import { useTimers } from './timers.ts';
import { useNow } from './use-now.ts';
import { useWhoIAm } from './use-who-i-am.ts';
import type { Kitchen } from './yield-draft.ts';

interface RunDayProps {
  kitchen: Kitchen;
  sheet: RunSheet;
  enter: (step: string, act: EnterStep['act']) => void;
}

/** The day while it is cooked: what is due, my step, timers, what cools, then the whole day as chart and list. */
export function RunDay({ kitchen, sheet, enter }: RunDayProps) {
  const now = useNow();
  const t = useT();
  const { can } = useSession();
  const [person, setPerson] = useWhoIAm(sheet);
  const timers = useTimers(sheet.cookDayId);
  const day = dayOf(sheet, now);
  if (!day) return null;
  const isCooking = kitchen.stage === 'cooking' || kitchen.stage === 'sharing';
  const checks = isCooking ? checksOf(kitchen.batches, sheet, day, now) : [];
  const [first] = checks;
  const step = myStep(day, person);
  const back = lastDone(day, person, sheet);
  const cooling = kitchen.batches.find(({ id }) => id === first?.batch.id && first.judged !== null);
  const canEnter = isCooking && can('coordinator', 'buyer', 'adult');
  const timerName = (of: { words: string; dish: string }): string =>
    t('kitchen.timer.of', { dish: of.dish, step: of.words });
  const done = () => {
    if (!step) return;
    enter(step.key, 'done');
    if (step.passive > 0) timers.start(timerName(step), step.passive);
    scrollTo({ top: 0 });
  };
  const takeBack = () => {
    if (!back) return;
    enter(back.key, 'taken-back');
    timers.stopNamed(timerName(back));
  };
  return (
    <>
      <Columns>
        <Stack gap="wide">
          {first?.isDue && <CheckCard key={first.batch.id} check={first} now={now} />}
          <MyStepCard sheet={sheet} day={day} person={person} onPerson={setPerson} />
          {checks.slice(first?.isDue ? 1 : 0).map((check) => (
            <CheckCard key={check.batch.id} check={check} now={now} />
          ))}
        </Stack>
        <Stack gap="wide">
          <HowTheDayGoes day={day} />
          <TimersCard timers={timers} />
          {cooling && <CoolingCard batch={cooling} isShort />}
        </Stack>
      </Columns>
      <RunChart sheet={sheet} day={day} />
      <RunList sheet={sheet} day={day} here={step?.key} />
      {canEnter && step && (
        <MyStepDock canGoBack={back !== undefined} isSecond={first?.isDue === true} onDone={done} onBack={takeBack} />
      )}
    </>
  );
}

/** "20 minutes later than planned, done about 15:20". */
function HowTheDayGoes({ day }: { day: Day }) {
  const t = useT();
  const formats = useFormats();
  const { late, end } = day.now;
  const minutes = useDuration()(Math.abs(late));
  const time = formats.time(day.at(end));
  const words =
    late > 0
      ? t('kitchen.run.late', { minutes, time })
      : late < 0
        ? t('kitchen.run.early', { minutes, time })
        : t('kitchen.run.onTime', { time });
  if (day.isOver) return null;
  return (
    <section className="card" aria-live="polite">
      <p>
        <StateMark state={late > 0 ? 'waiting' : 'done'}>{words}</StateMark>
      </p>
    </section>
  );
}
