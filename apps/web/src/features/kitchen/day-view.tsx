import { Link } from '@tanstack/react-router';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { MoveRound } from '../../ui/move-round.tsx';
import { Columns, Row, Stack } from '../../ui/page.tsx';
import { PrintLabels } from '../../ui/print-labels.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { CookingCaution, CoolingCaution } from './cautions.tsx';
import { RunDay } from './run-day.tsx';
import { RunSheetCard } from './run-sheet-card.tsx';
import type { useRunSheet } from './run-sheet-query.ts';
import { againstPlan, nextBatch, type Batch, type Kitchen } from './yield-draft.ts';

interface DayViewProps {
  round: Round;
  kitchen: Kitchen;
}

interface DayProps extends DayViewProps {
  run: ReturnType<typeof useRunSheet>;
}

/** The day at a glance: where and who, bases first, then the batches in their order, the next one framed. */
export function DayView({ round, kitchen, run }: DayProps) {
  const { sheet } = run;
  return (
    <>
      {sheet?.sheet && sheet.sheet.isCurrent === false && <RunSheetCard sheet={sheet} />}
      {sheet?.sheet && <RunDay kitchen={kitchen} sheet={sheet} enter={run.enter} />}
      <div className="no-print">
        <Columns>
          <Stack gap="wide">
            <WhereAndWho kitchen={kitchen} round={round} />
            {sheet && (sheet.sheet === null || sheet.sheet.isCurrent) && <RunSheetCard sheet={sheet} />}
            <Bases kitchen={kitchen} />
            <Batches kitchen={kitchen} round={round} isSecond={sheet?.sheet != null || sheet?.makings.length !== 0} />
          </Stack>
          <Stack gap="wide">
            <CoolingCaution />
            <CookingCaution />
            <WhenCooked kitchen={kitchen} round={round} />
          </Stack>
        </Columns>
      </div>
    </>
  );
}

function WhereAndWho({ kitchen, round }: DayViewProps) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  if (kitchen.cookDays.length === 0) {
    return (
      <Card title={t('kitchen.noDay')}>
        <Empty
          action={
            <LinkButton to="/rounds/$roundId/plan" params={{ roundId: round.id }} hash="cook-day" tall>
              {t('kitchen.openPlan')}
            </LinkButton>
          }
        >
          {t('kitchen.noDayWords')}
        </Empty>
      </Card>
    );
  }
  return (
    <Card title={t('kitchen.whereAndWho')}>
      <List>
        {kitchen.cookDays.map((day) => {
          const cooks = day.turns.map(({ household }) => household.name);
          return (
            <ListRow
              key={day.id}
              lead={<DateTab date={day.date} />}
              title={t('kitchen.kitchenAt', { household: day.kitchen.name, time: formats.clock(day.startsAt) })}
              detail={
                cooks.length === 0 ? t('kitchen.nobodyYet') : t('kitchen.cooks', { households: formats.list(cooks) })
              }
              mine={day.turns.some(({ household }) => household.id === householdId)}
            />
          );
        })}
      </List>
    </Card>
  );
}

/** Recipes that several dishes use: made once, before the dishes. */
function Bases({ kitchen }: { kitchen: Kitchen }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  if (kitchen.bases.length === 0) return null;
  return (
    <Card title={t('kitchen.basesFirst')}>
      <List>
        {kitchen.bases.map((base) => (
          <ListRow
            key={base.recipeId}
            title={
              <Link to="/recipes/$recipeId" params={{ recipeId: base.recipeId }}>
                {base.name}
              </Link>
            }
            detail={t('kitchen.goesInto', {
              list: formats.list(
                base.usedIn.map((dish) => (dish === base.name ? t('kitchen.byItself', { dish }) : dish)),
              ),
            })}
            acts={<strong>{food.amount(base.exact, base.unit)}</strong>}
          />
        ))}
      </List>
    </Card>
  );
}

function Batches({ kitchen, round, isSecond }: DayViewProps & { isSecond: boolean }) {
  const t = useT();
  const next = nextBatch(kitchen.batches);
  const done = kitchen.batches.filter(({ state }) => state !== 'planned').length;
  if (kitchen.batches.length === 0) {
    return (
      <Card title={t('kitchen.batches')}>
        <Empty title={t('kitchen.noBatches')}>{t('kitchen.noBatchesWords')}</Empty>
      </Card>
    );
  }
  return (
    <Card title={t('kitchen.batches')} aside={t('kitchen.doneOf', { done, count: kitchen.batches.length })}>
      <ol className="list" role="list">
        {kitchen.batches.map((batch) => (
          <ListRow
            key={batch.id}
            framed={!isSecond && batch.id === next?.id}
            title={batch.name}
            detail={batch.lotCode}
            acts={
              <LinkButton
                tall
                kind={!isSecond && batch.id === next?.id ? 'main' : 'normal'}
                to="/rounds/$roundId/cook"
                params={{ roundId: round.id }}
                search={{ batch: batch.id }}
                aria-label={t(batch.state === 'planned' ? 'kitchen.cookNamed' : 'kitchen.openNamed', {
                  dish: batch.name,
                  lotCode: batch.lotCode,
                })}
              >
                {t(batch.state === 'planned' ? 'kitchen.cook' : 'kitchen.open')}
              </LinkButton>
            }
          >
            <span className="list-row-detail">
              <BatchStanding batch={batch} />
            </span>
          </ListRow>
        ))}
      </ol>
      <p className="soft">
        {t('kitchen.portionsSoFar', { made: kitchen.portionsMade, planned: kitchen.portionsPlanned })}
      </p>
      {kitchen.portionsMade > 0 && (
        <Row>
          <PrintLabels roundId={round.id} tall />
        </Row>
      )}
    </Card>
  );
}

/** "12 portions, 2 fewer than planned" with its shape; "thrown away" as the problem it is. */
export function BatchStanding({ batch }: { batch: Batch }) {
  const t = useT();
  if (batch.state === 'thrown-away') return <StateMark state="problem">{t('kitchen.thrownAway')}</StateMark>;
  if (batch.state === 'planned' || batch.actualPortions === null) {
    return <StateMark state="waiting">{t('kitchen.planned', { n: batch.plannedPortions })}</StateMark>;
  }
  const { kind, by } = againstPlan(batch.actualPortions, batch.plannedPortions);
  return <StateMark state="done">{t(`kitchen.made.${kind}`, { n: batch.actualPortions, by })}</StateMark>;
}

function WhenCooked({ kitchen, round }: DayViewProps) {
  const t = useT();
  const formats = useFormats();
  if (round.stage === 'cooking') {
    return (
      <Card title={t('kitchen.whenCooked')}>
        <p className="soft">{t('kitchen.whenCookedWords')}</p>
        <MoveRound round={round} kind="normal" tall />
      </Card>
    );
  }
  if (round.stage !== 'planning' && round.stage !== 'buying') return null;
  return (
    <Card title={t('kitchen.notYet')}>
      <p className="soft">
        {t(kitchen.batches.length > 0 ? 'kitchen.notYetBuying' : 'kitchen.notYetWords', {
          date: formats.day(round.cookOn),
        })}
      </p>
    </Card>
  );
}
