import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { Columns, Row } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { EndedSwaps } from './ended-swaps.tsx';
import { bySoonest, movesOfRound, ringOfRound } from './my-side.ts';
import { ClosedRingProblem, RingCard } from './ring-card.tsx';
import { AskedCard, ClosedSwapProblem, ProposedCard } from './swap-card.tsx';
import { swapsQuery, type SwapBoard } from './swap-query.ts';
import { useAnswer } from './use-answer.ts';
import { useRingAnswer } from './use-ring-answer.ts';
import { SwapWarning } from './warning.tsx';

const route = getRouteApi('/member/rounds/$roundId/swap');

/** The swaps that move containers of one round: answers first, and what still stands between the round and its accounts. */
export function RoundSwapPage() {
  const { roundId } = route.useParams();
  return (
    <RoundPage key={roundId} roundId={roundId} stage="swap" aside={(round) => <Until round={round} />}>
      {(round) => <RoundSwaps round={round} />}
    </RoundPage>
  );
}

function Until({ round }: { round: Round }) {
  const t = useT();
  const formats = useFormats();
  if (round.stage !== 'sharing') return null;
  return <StateMark state="waiting">{t('swaps.roundUntil', { date: formats.day(round.swapUntil) })}</StateMark>;
}

const isShared = ({ stage, openPoints }: Round): boolean =>
  stage === 'settled' || (stage === 'sharing' && !openPoints.some(({ code }) => code === 'share-out-missing'));

function RoundSwaps({ round }: { round: Round }) {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const query = useQuery(swapsQuery(cooperativeId, householdId));
  if (!isShared(round)) {
    const toShareOut = (
      <LinkButton to="/rounds/$roundId/share-out" params={{ roundId: round.id }}>
        {t('swaps.openShareOut')}
      </LinkButton>
    );
    return (
      <Card title={t('swaps.notYet')}>
        <Empty action={toShareOut}>{t('swaps.notYetWords')}</Empty>
      </Card>
    );
  }
  return (
    <QueryView query={query} lines={6}>
      {(board) => <SwapsOfRound round={round} board={board} />}
    </QueryView>
  );
}

function SwapsOfRound({ round, board }: { round: Round; board: SwapBoard }) {
  const t = useT();
  const { can } = useSession();
  const answers = useAnswer();
  const ofRound = movesOfRound(round.number);
  const ringAnswers = useRingAnswer();
  const rings = board.rings.filter(ringOfRound(round.number));
  const asked = bySoonest(board.waitingForMe).filter(ofRound);
  const proposed = bySoonest(board.waitingForOthers).filter(ofRound);
  const mine = board.mine.filter(({ roundNumber, offered }) => roundNumber === round.number && !offered);
  const mayAct = can('coordinator', 'buyer', 'adult');
  return (
    <>
      <OpenSwaps round={round} own={asked.length + proposed.length} />
      <ClosedSwapProblem answers={answers} shown={[...asked, ...proposed]} />
      <ClosedRingProblem answers={ringAnswers} shown={board.rings} />
      {rings.map((ring, index) => (
        <RingCard key={ring.id} ring={ring} answers={ringAnswers} soonest={index === 0} />
      ))}
      {asked.map((swap, index) => (
        <AskedCard key={swap.id} swap={swap} board={board} answers={answers} soonest={index + rings.length === 0} />
      ))}
      {asked.length + rings.length === 0 && (
        <Card title={t('swaps.nothing')}>
          <Empty
            action={
              mayAct && (
                <LinkButton to="/swaps" search={{ offer: mine[0]?.id ?? 'any' }} kind="main">
                  {t('swaps.offer')}
                </LinkButton>
              )
            }
          >
            {t('swaps.nothingWords')}
          </Empty>
        </Card>
      )}
      {proposed.length > 0 && (
        <Columns>
          {proposed.map((swap) => (
            <ProposedCard key={swap.id} swap={swap} board={board} answers={answers} />
          ))}
        </Columns>
      )}
      <EndedSwaps swaps={board.ended.filter(ofRound)} rings={board.endedRings.filter(ringOfRound(round.number))} />
      <Row>
        <LinkButton to="/swaps">{t('swaps.all')}</LinkButton>
        <LinkButton to="/rounds/$roundId/account" params={{ roundId: round.id }}>
          {t('swaps.openAccount')}
        </LinkButton>
      </Row>
      <Note>
        <p>{t('swaps.foodRules')}</p>
        <p>{t('common.notDeclared')}</p>
      </Note>
      <SwapWarning answers={answers} />
    </>
  );
}

/** Swaps of other households that the round waits for: how many, not what. */
function OpenSwaps({ round, own }: { round: Round; own: number }) {
  const t = useT();
  const open = Number(round.openPoints.find(({ code }) => code === 'swap-open')?.facts.swaps ?? 0);
  if (open <= own) return null;
  return <p className="soft">{t('swaps.otherOpen', { n: open - own })}</p>;
}
