import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { StepTab } from '../../ui/date-tab.tsx';
import { Dock, DockActs } from '../../ui/dock.tsx';
import { Tick } from '../../ui/fields.tsx';
import { CheckIcon } from '../../ui/icons.tsx';
import { Loading } from '../../ui/loading.tsx';
import { Columns, Row, Stack } from '../../ui/page.tsx';
import { PrintLabels } from '../../ui/print-labels.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { CoolingCaution } from './cautions.tsx';
import { CoolingCard } from './cooling-card.tsx';
import { judgedNow } from './cooling-now.ts';
import { BatchStanding } from './day-view.tsx';
import { LotsCard } from './lots-card.tsx';
import { TooWarm } from './too-warm.tsx';
import type { useRunSheet } from './run-sheet-query.ts';
import { useBatchSteps } from './use-batch-steps.ts';
import { useNow } from './use-now.ts';
import { nextBatch, type Batch, type Kitchen } from './yield-draft.ts';
import { YieldCard } from './yield-card.tsx';

interface BatchViewProps {
  round: Round;
  kitchen: Kitchen;
  batch: Batch;
  run: ReturnType<typeof useRunSheet>;
}

/** One batch: my step in one sentence, its amounts to gather, all steps, and what came out. */
export function BatchView({ round, kitchen, batch, run }: BatchViewProps) {
  const [gathered, setGathered] = useKeptState<number[]>(`batch.${batch.id}`, () => []);
  const isCooking = round.stage === 'cooking' || round.stage === 'sharing';
  const { stepsDone, goTo: moveTo, isUnknown } = useBatchSteps(batch, run, isCooking);
  const atYield = stepsDone >= batch.steps.length;
  const now = useNow();
  const judged = batch.cooling && judgedNow(batch.cooling, now);
  const isTooWarm = judged?.verdict === 'failed' && batch.state !== 'thrown-away';
  const goTo = (step: number) => {
    moveTo(step);
    scrollTo({ top: 0 });
  };
  if (isUnknown) return <Loading lines={6} />;
  return (
    <>
      <Row apart>
        <LinkToDay round={round} />
        <BatchStanding batch={batch} />
      </Row>
      <Columns>
        <Stack gap="wide">
          {isTooWarm && <TooWarm batch={batch} judged={judged} />}
          {!isTooWarm && !atYield && <StepCard batch={batch} stepsDone={stepsDone} />}
          {!isTooWarm && atYield && <YieldCard round={round} batch={batch} />}
          {!isTooWarm && batch.state === 'made' && (
            <Row>
              <PrintLabels roundId={round.id} batch={batch} tall />
            </Row>
          )}
          <Amounts batch={batch} gathered={gathered} onChange={(next) => setGathered(() => next)} />
          <LotsCard batch={batch} />
        </Stack>
        <Stack gap="wide">
          <AllSteps batch={batch} stepsDone={stepsDone} onGo={goTo} />
          {isCooking && <CoolingCard batch={batch} />}
          <CoolingCaution />
          {atYield && <NextBatch round={round} kitchen={kitchen} batch={batch} />}
        </Stack>
      </Columns>
      {!isTooWarm && !atYield && <StepDock stepsDone={stepsDone} count={batch.steps.length} onGo={goTo} />}
    </>
  );
}

function LinkToDay({ round }: { round: Round }) {
  const t = useT();
  return (
    <LinkButton to="/rounds/$roundId/cook" params={{ roundId: round.id }} kind="plain" tall>
      {t('kitchen.backToDay')}
    </LinkButton>
  );
}

function useTimes() {
  const t = useT();
  const formats = useFormats();
  const minutes = (count: number) => formats.unit(String(count), 'minute', { least: 0, most: 0 });
  return ({ activeMinutes, passiveMinutes }: Batch['steps'][number]) =>
    [
      activeMinutes > 0 && t('kitchen.handsOn', { time: minutes(activeMinutes) }),
      passiveMinutes > 0 && t('kitchen.onItsOwn', { time: minutes(passiveMinutes) }),
    ]
      .filter(Boolean)
      .join(' · ');
}

function StepCard({ batch, stepsDone }: { batch: Batch; stepsDone: number }) {
  const t = useT();
  const times = useTimes();
  const step = batch.steps[stepsDone];
  if (!step) return null;
  return (
    <section className="card card-framed" aria-live="polite">
      <p className="row row-apart soft">
        <span>{times(step)}</span>
        <span>{t('kitchen.stepOf', { number: stepsDone + 1, count: batch.steps.length })}</span>
      </p>
      <h2 className="kitchen-step">
        <bdi>{step.words}</bdi>
      </h2>
    </section>
  );
}

function StepDock({ stepsDone, count, onGo }: { stepsDone: number; count: number; onGo: (step: number) => void }) {
  const t = useT();
  const isLast = stepsDone === count - 1;
  return (
    <Dock label={t('kitchen.myStep')}>
      <DockActs>
        <Button kind="main" tall onPress={() => onGo(stepsDone + 1)}>
          {t(isLast ? 'kitchen.doneLast' : 'kitchen.doneNext')}
        </Button>
        <Button tall isDisabled={stepsDone === 0} onPress={() => onGo(stepsDone - 1)} aria-label={t('kitchen.oneBack')}>
          {t('kitchen.back')}
        </Button>
      </DockActs>
    </Dock>
  );
}

interface AmountsProps {
  batch: Batch;
  gathered: readonly number[];
  onChange: (gathered: number[]) => void;
}

/** What goes in, to tick off while it is gathered. */
function Amounts({ batch, gathered, onChange }: AmountsProps) {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  return (
    <Card
      title={t('kitchen.amounts')}
      aside={t('kitchen.gathered', { done: gathered.length, count: batch.amounts.length })}
    >
      <ul className="list" role="list">
        {batch.amounts.map((amount, index) => (
          <li className="list-row" key={index}>
            <Tick
              tall
              isSelected={gathered.includes(index)}
              onChange={(on) => onChange(on ? [...gathered, index] : gathered.filter((each) => each !== index))}
            >
              {amount.name}
            </Tick>
            <strong className="number">{food.amount(amount.exact, amount.unit)}</strong>
          </li>
        ))}
      </ul>
      <p>
        <strong>{t('kitchen.allergens', { list: food.allergens(batch.allergens) })}</strong>
      </p>
      {batch.notDeclared.length > 0 && (
        <p>
          <StateMark state="problem">
            {t('kitchen.notDeclaredFor', { list: formats.list(batch.notDeclared) })}
          </StateMark>
        </p>
      )}
      <Note>
        <p>{t('food.caution')}</p>
      </Note>
    </Card>
  );
}

function AllSteps({ batch, stepsDone, onGo }: { batch: Batch; stepsDone: number; onGo: (step: number) => void }) {
  const t = useT();
  const formats = useFormats();
  const times = useTimes();
  if (batch.steps.length === 0) return null;
  return (
    <Card title={t('kitchen.steps')} aside={t('kitchen.doneOf', { done: stepsDone, count: batch.steps.length })}>
      <ol className="list kitchen-steps" role="list">
        {batch.steps.map((step, index) => (
          <li
            key={index}
            className={index === stepsDone ? 'list-row list-row-led kitchen-here' : 'list-row list-row-led'}
            aria-current={index === stepsDone ? 'step' : undefined}
          >
            <StepTab>{index < stepsDone ? <CheckIcon /> : formats.number(index + 1)}</StepTab>
            <span className="list-row-words">
              <span className={index < stepsDone ? 'soft' : undefined}>
                {index < stepsDone && <span className="hidden">{t('common.state.done')}: </span>}
                <bdi>{step.words}</bdi>
              </span>
              <span className="list-row-detail small">{times(step)}</span>
            </span>
            {index < stepsDone && (
              <Button kind="plain" tall onPress={() => onGo(index)}>
                {t('kitchen.again')}
                <span className="hidden">
                  : {t('kitchen.stepOf', { number: index + 1, count: batch.steps.length })}
                </span>
              </Button>
            )}
          </li>
        ))}
      </ol>
    </Card>
  );
}

function NextBatch({ round, kitchen, batch }: Omit<BatchViewProps, 'run'>) {
  const t = useT();
  const next = nextBatch(kitchen.batches, batch.id);
  if (!next) return null;
  return (
    <Card title={t('kitchen.nextBatch')}>
      <p>{next.name}</p>
      <Row>
        <LinkButton tall to="/rounds/$roundId/cook" params={{ roundId: round.id }} search={{ batch: next.id }}>
          {t('kitchen.cookNamed', { dish: next.name, lotCode: next.lotCode })}
        </LinkButton>
      </Row>
    </Card>
  );
}
