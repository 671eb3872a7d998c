import { getRouteApi, Link, Navigate } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { PLACE_OF, dayOf, type RoundSummary } from '../../lib/round-stage.ts';
import { useRounds } from '../../lib/rounds.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Page } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';

const route = getRouteApi('/member/round');

/** "Round" opens the one round that is under way; the list of all stands here where there are more, or none, or when it is asked for. */
export function RoundsPage() {
  const { all = false } = route.useSearch();
  const query = useRounds();
  return <QueryView query={query}>{({ items }) => <Rounds rounds={items} showAll={all} />}</QueryView>;
}

function Rounds({ rounds, showAll }: { rounds: readonly RoundSummary[]; showAll: boolean }) {
  const t = useT();
  const { can } = useSession();
  const newestFirst = [...rounds].sort((a, b) => b.number - a.number);
  const open = newestFirst.filter(({ stage }) => stage !== 'settled').reverse();
  const settled = newestFirst.filter(({ stage }) => stage === 'settled');
  const [only] = open;
  if (only && open.length === 1 && !showAll) return <Navigate replace {...linkTo(only)} />;
  const start = can('coordinator') && (
    <LinkButton to="/round/start" kind={open.length === 0 ? 'main' : 'normal'}>
      {t('round.start')}
    </LinkButton>
  );
  if (rounds.length === 0) {
    return (
      <Page title={t('round.title')}>
        <Card title={t('round.none')}>
          <Empty action={start}>{t(can('coordinator') ? 'round.noneWords' : 'round.noneWait')}</Empty>
        </Card>
      </Page>
    );
  }
  return (
    <Page title={t('round.title')} aside={start}>
      {open.length > 0 && (
        <Card title={t('round.underWay')}>
          <List>
            {open.map((round) => (
              <RoundRow key={round.id} round={round} />
            ))}
          </List>
        </Card>
      )}
      {settled.length > 0 && (
        <Card title={t('round.settledOnes')}>
          <List>
            {settled.map((round) => (
              <RoundRow key={round.id} round={round} />
            ))}
          </List>
        </Card>
      )}
    </Page>
  );
}

const linkTo = ({ id, stage }: Pick<RoundSummary, 'id' | 'stage'>) =>
  ({ to: `/rounds/$roundId/${PLACE_OF[stage]}`, params: { roundId: id } }) as const;

function RoundRow({ round }: { round: RoundSummary }) {
  const t = useT();
  const formats = useFormats();
  const place = PLACE_OF[round.stage];
  const settledOn = round.settledAt === null ? round.settleOn : formats.dateOf(round.settledAt);
  const date = round.stage === 'settled' ? settledOn : dayOf(round, place);
  const portions = round.portionsMade ?? round.portionsPlanned;
  return (
    <ListRow
      lead={<DateTab date={date} />}
      title={<Link {...linkTo(round)}>{t('common.roundNumber', { number: round.number })}</Link>}
      detail={
        <>
          {t(`round.listStage.${round.stage}`, { date: formats.day(date) })}
          {' · '}
          {t(round.portionsMade === null ? 'round.listPlanned' : 'round.listMade', { n: portions })}
        </>
      }
      acts={round.stage !== 'settled' && <LinkButton {...linkTo(round)}>{t(`round.open.${round.stage}`)}</LinkButton>}
    />
  );
}
