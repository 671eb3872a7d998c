import { useQuery } from '@tanstack/react-query';
import { useFormats } from '../../lib/formats.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useRounds } from '../../lib/rounds.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { BoardList } from './board-list.tsx';
import { BoardTable } from './board-table.tsx';
import { countTurns, daysWithoutCook } from './board-weeks.ts';
import type { ThisWeek } from './this-week-query.ts';

/** Who cooks in the coming weeks: households by weeks on a laptop, a list of weeks on a phone. */
export function CookBoard({ week }: { week: ThisWeek }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const formats = useFormats();
  const households = useQuery(householdsQuery(cooperativeId)).data;
  const open = daysWithoutCook(week.weeks);
  const counts =
    households &&
    countTurns(
      week.weeks,
      households.filter(({ leftOn }) => leftOn === null),
    );
  return (
    <Card
      title={t('thisWeek.board')}
      aside={
        open.length > 0 && (
          <StateMark state="free">
            {t('thisWeek.needCook', {
              n: open.length,
              dates: formats.list(open.map((date) => formats.day(date, 'short'))),
            })}
          </StateMark>
        )
      }
    >
      <div className="laptop-only">
        <BoardTable week={week} counts={counts} />
      </div>
      <div className="phone-only">
        <BoardList week={week} />
      </div>
      <Legend />
      {counts && <p className="small soft laptop-only">{t('thisWeek.turnsNote')}</p>}
      <Row>
        <FindCook week={week} />
        <PrintButton />
      </Row>
    </Card>
  );
}

function Legend() {
  const t = useT();
  return (
    <ul className="legend small soft" role="list">
      <li>
        <StateMark state="taken">{t('thisWeek.published')}</StateMark>
      </li>
      <li>
        <StateMark state="setAside">{t('thisWeek.draft')}</StateMark>
      </li>
      <li>
        <StateMark state="done">{t('thisWeek.cooked')}</StateMark>
      </li>
      <li>
        <StateMark state="free">{t('thisWeek.needsCook')}</StateMark>
      </li>
    </ul>
  );
}

/** For the first day without a cook: a coordinator sets one in the round's plan; anybody else is told whom to tell. */
function FindCook({ week }: { week: ThisWeek }) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  const rounds = useRounds().data?.items ?? [];
  const day = week.weeks.flatMap(({ cookDays }) => cookDays).find(({ turns }) => turns.length === 0);
  if (!day) return null;
  const round = rounds.find(({ number }) => number === day.roundNumber);
  if (!can('coordinator')) return <p className="soft">{t('thisWeek.tellCoordinator')}</p>;
  if (!round) return null;
  return (
    <LinkButton to="/rounds/$roundId/plan" params={{ roundId: round.id }}>
      {t('thisWeek.findCook', { date: formats.day(day.date, 'short') })}
    </LinkButton>
  );
}
