import { useQuery } from '@tanstack/react-query';
import { useFormats } from '../../lib/formats.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { recipesQuery } from '../../lib/recipe-queries.ts';
import { useRounds } from '../../lib/rounds.ts';
import { useSession } from '../../lib/session.tsx';
import { Page } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { CookBoard } from './cook-board.tsx';
import './cooperatives.css';
import { FirstSteps, type StepsDone } from './first-steps.tsx';
import { NextTasks } from './next-tasks.tsx';
import { thisWeekQuery } from './this-week-query.ts';

/** What is next for my household, and who cooks in the coming weeks; for a new cooperative, its first steps. */
export function ThisWeekPage() {
  const t = useT();
  const { cooperativeId, householdId, cooperative } = useSession();
  const week = useQuery(thisWeekQuery(cooperativeId, householdId));
  const steps = useFirstSteps();
  const isNew = steps !== null && week.data?.tasks.length === 0;
  return (
    <Page
      title={isNew ? t('thisWeek.setUp.title', { cooperative: cooperative.name }) : t('thisWeek.title')}
      documentTitle={t('thisWeek.title')}
      aside={isNew ? t('thisWeek.setUp.you') : <Where />}
    >
      <QueryView query={week} lines={8}>
        {(data) =>
          isNew ? (
            <FirstSteps week={data} done={steps} />
          ) : (
            <>
              <NextTasks week={data} />
              <CookBoard week={data} />
            </>
          )
        }
      </QueryView>
    </Page>
  );
}

/** "Wednesday 25 November · Round 14 · buying" */
function Where() {
  const t = useT();
  const formats = useFormats();
  const { cooperative, cooperativeId, householdId } = useSession();
  const round = useQuery(thisWeekQuery(cooperativeId, householdId)).data?.round;
  const date = formats.day(cooperative.today, 'long');
  if (!round) return date;
  const stage = round.stage as 'planning' | 'buying' | 'cooking' | 'sharing' | 'settled';
  return t('thisWeek.aside', { date, number: round.number, stage: t(`thisWeek.stage.${stage}`) });
}

/** Which of the first steps are done; null once there is a round, and for those who are not its coordinator. */
function useFirstSteps(): StepsDone | null {
  const { cooperativeId, householdId, can } = useSession();
  const rounds = useRounds().data;
  const isFirst = can('coordinator') && rounds?.items.length === 0;
  const households = useQuery({ ...householdsQuery(cooperativeId), enabled: isFirst }).data;
  const recipes = useQuery({ ...recipesQuery(cooperativeId), enabled: isFirst }).data;
  if (!isFirst || !households || !recipes) return null;
  return {
    eat: households.some(({ id, diners }) => id === householdId && diners.length > 0),
    invite: households.length > 1,
    dish: recipes.length > 0,
  };
}
