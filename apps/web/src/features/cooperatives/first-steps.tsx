import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { StepTab } from '../../ui/date-tab.tsx';
import { CheckIcon } from '../../ui/icons.tsx';
import { DoList, ListRow } from '../../ui/list.tsx';
import { Note } from '../../ui/card.tsx';
import { StateShapeIcon } from '../../ui/state-mark.tsx';
import type { ThisWeek } from './this-week-query.ts';

export interface StepsDone {
  eat: boolean;
  invite: boolean;
  dish: boolean;
}

const PLACES = {
  eat: { to: '/household' },
  invite: { to: '/coordinator', hash: 'invite' },
  dish: { to: '/recipes/new' },
} as const;
const STEPS = ['eat', 'invite', 'dish'] as const;

/** A new cooperative: three things, each with its button; done ones get a tick and stay, the next one the frame. */
export function FirstSteps({ week, done }: { week: ThisWeek; done: StepsDone }) {
  const t = useT();
  const next = STEPS.find((step) => !done[step]);
  return (
    <>
      <p className="first-lead">{t('thisWeek.setUp.lead')}</p>
      <section className="card" aria-label={t('thisWeek.setUp.steps')}>
        <DoList>
          {STEPS.map((step, index) => (
            <Step key={step} step={step} number={index + 1} done={done[step]} isNext={step === next} />
          ))}
          {!next && (
            <ListRow
              framed
              lead={<StepTab>{null}</StepTab>}
              title={t('thisWeek.step.round')}
              detail={t('thisWeek.step.round.detail')}
              acts={
                <LinkButton kind="main" to="/round/start">
                  {t('thisWeek.startRound')}
                </LinkButton>
              }
            />
          )}
        </DoList>
      </section>
      <EmptyBoard week={week} />
      <Note>
        <p>{t('thisWeek.foodRules')}</p>
      </Note>
    </>
  );
}

function Step(props: { step: (typeof STEPS)[number]; number: number; done: boolean; isNext: boolean }) {
  const t = useT();
  const formats = useFormats();
  const { step, number, done, isNext } = props;
  return (
    <ListRow
      framed={isNext}
      lead={
        <StepTab>
          {done ? <CheckIcon size={26} /> : formats.number(number)}
          {done && <span className="hidden">{t('thisWeek.stepDone')}</span>}
        </StepTab>
      }
      title={t(`thisWeek.step.${step}`)}
      detail={t(`thisWeek.step.${step}.detail`)}
      acts={
        <LinkButton kind={isNext ? 'main' : 'normal'} {...PLACES[step]}>
          {t(`thisWeek.step.${step}.go`)}
        </LinkButton>
      }
    />
  );
}

function EmptyBoard({ week }: { week: ThisWeek }) {
  const t = useT();
  const formats = useFormats();
  return (
    <Card title={t('thisWeek.emptyBoard')}>
      <p>{t('thisWeek.emptyBoardWords')}</p>
      <ul className="first-weeks" role="list">
        {week.weeks.map(({ weekOf }) => (
          <li key={weekOf}>
            <StateShapeIcon state="free" size={18} />
            {formats.day(weekOf, 'short')}
          </li>
        ))}
      </ul>
    </Card>
  );
}
