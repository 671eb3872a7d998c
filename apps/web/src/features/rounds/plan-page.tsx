import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { recipesQuery } from '../../lib/recipe-queries.ts';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { useIsWide } from '../../lib/use-is-wide.ts';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { MoveRound } from '../../ui/move-round.tsx';
import { Columns, Row, Stack } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { CookDayCard } from './cook-day-card.tsx';
import { plannedPortions } from './dish-draft.ts';
import { portionsPerBatch } from './dish-figures.ts';
import { DishesCard } from './dishes-card.tsx';
import { OpenPoints } from './open-points.tsx';
import { PlanFigures } from './plan-figures.tsx';
import { useDishes, type Dishes } from './use-dishes.ts';
import { WhoEatsCard } from './who-eats-card.tsx';

const route = getRouteApi('/member/rounds/$roundId/plan');

/** One round being planned: figures, what does not add up, dishes and batches, who eats, where it is cooked. */
export function PlanPage() {
  const { roundId } = route.useParams();
  const isWide = useIsWide();
  return (
    <RoundPage
      key={roundId}
      roundId={roundId}
      stage="plan"
      aside={(round) => (
        <Row>
          <AllRounds />
          {round.stage === 'planning' && isWide && <MoveRound round={round} />}
        </Row>
      )}
    >
      {(round) => <Plan round={round} isWide={isWide} />}
    </RoundPage>
  );
}

function Plan({ round, isWide }: { round: Round; isWide: boolean }) {
  const cooperativeId = useCooperativeId();
  const isPlanning = round.stage === 'planning';
  const recipes = useQuery({ ...recipesQuery(cooperativeId), enabled: isPlanning });
  const dishes = useDishes(round);
  const perBatch = portionsPerBatch(round, recipes.data ?? []);
  return (
    <>
      <PlanFigures round={round} planned={plannedPortions(dishes.dishes, perBatch)} isSaving={dishes.isSaving} />
      <SaveProblem dishes={dishes} />
      <OpenPoints round={round} dishes={dishes} />
      <Columns form="wideFirst">
        <DishesCard round={round} dishes={dishes} recipes={recipes.data ?? []} perBatch={perBatch} />
        <Stack gap="wide">
          <WhoEatsCard round={round} />
          <CookDayCard round={round} />
        </Stack>
      </Columns>
      {isPlanning && !isWide && <WhenReady round={round} />}
    </>
  );
}

function AllRounds() {
  const t = useT();
  return (
    <LinkButton to="/round" search={{ all: true }} kind="plain">
      {t('round.all')}
    </LinkButton>
  );
}

function WhenReady({ round }: { round: Round }) {
  const t = useT();
  const { can } = useSession();
  return (
    <Card title={t('round.whenReady')}>
      {can('coordinator') && <p className="soft">{t('round.whenReadyWords')}</p>}
      <MoveRound round={round} />
    </Card>
  );
}

/** A change of the dishes that was refused: what was wanted stays on the screen, and a person decides. */
function SaveProblem({ dishes }: { dishes: Dishes }) {
  const t = useT();
  const formats = useFormats();
  if (!dishes.error) return null;
  const wanted = formats.number(dishes.dishes.reduce((total, dish) => total + dish.batches, 0));
  return (
    <Problem
      error={dishes.error}
      action={
        <Row>
          <Button onPress={() => void dishes.sendAgain()}>{t('round.keepMine', { n: wanted })}</Button>
          <Button onPress={() => void dishes.giveUp()}>{t('round.takeSaved')}</Button>
        </Row>
      }
    />
  );
}
