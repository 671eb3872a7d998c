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
import { TakeTurn } from '../../ui/take-turn.tsx';
import { BoardList } from './board-list.tsx';
import { BoardTable } from './board-table.tsx';
import { countTurns, missingCooks, type MissingCook } from './board-weeks.ts';
import type { ThisWeek } from './this-week-query.ts';

/** Who cooks in the coming weeks: households by weeks on a laptop, a list of weeks on a phone. */
export function CookBoard({ week }: { week: ThisWeek }) {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const formats = useFormats();
  const households = useQuery(householdsQuery(cooperativeId)).data;
  const open = missingCooks(week.weeks);
  const next = open.find(({ cooks }) => !cooks.includes(householdId)) ?? open[0];
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
              dates: formats.list(open.map(({ date }) => formats.day(date, 'short'))),
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
        {next && <FindCook missing={next} />}
        <LinkButton to="/turns">{t('thisWeek.ourTurns')}</LinkButton>
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

/** A cook who is missing, the first whose place we could take: a turn of the rota is taken here; a cook day's cook is set by a coordinator in the round's plan. */
function FindCook({ missing }: { missing: MissingCook }) {
  const t = useT();
  const formats = useFormats();
  const { can, householdId } = useSession();
  const rounds = useRounds().data?.items ?? [];
  const date = formats.day(missing.date, 'short');
  if (missing.turn?.id) {
    if (missing.cooks.includes(householdId)) return <p className="soft">{t('thisWeek.takeTurn.ours', { date })}</p>;
    return <TakeTurn turn={{ id: missing.turn.id, version: missing.turn.version }} date={missing.date} />;
  }
  const round = rounds.find(({ number }) => number === missing.roundNumber);
  if (!can('coordinator')) return <p className="soft">{t('thisWeek.tellCoordinator')}</p>;
  if (!round) return null;
  return (
    <LinkButton to="/rounds/$roundId/plan" params={{ roundId: round.id }}>
      {t('thisWeek.findCook', { date })}
    </LinkButton>
  );
}
