import { useQuery } from '@tanstack/react-query';
import { getRouteApi, useNavigate } from '@tanstack/react-router';
import { useEffect, type ReactNode } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { Columns, Page, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { EndedSwaps } from './ended-swaps.tsx';
import { FindRings } from './find-rings.tsx';
import { answersDue, bySoonest } from './my-side.ts';
import { OffersCard } from './offers-card.tsx';
import { OthersOfferCard } from './others-offer-card.tsx';
import { OthersCard } from './others-card.tsx';
import { ProposeForm } from './propose-form.tsx';
import { ClosedRingProblem, RingCard } from './ring-card.tsx';
import { AskedCard, ClosedSwapProblem, ProposedCard } from './swap-card.tsx';
import { swapsQuery, type SwapBoard } from './swap-query.ts';
import { useAnswer } from './use-answer.ts';
import { useRingAnswer } from './use-ring-answer.ts';
import { SwapWarning } from './warning.tsx';
import { WishesCard } from './wishes-card.tsx';

const route = getRouteApi('/member/swaps');

/** Answers that wait for my household first, then what it holds out and wishes for, what others offer, and what became of earlier swaps. */
export function SwapsPage() {
  const t = useT();
  const formats = useFormats();
  const { cooperative, cooperativeId, householdId } = useSession();
  const query = useQuery(swapsQuery(cooperativeId, householdId));
  const today = formats.day(cooperative.today, 'long');
  return (
    <Page
      title={t('swaps.title')}
      aside={query.data ? t('swaps.toAnswer', { today, n: answersDue(query.data).length }) : today}
    >
      <QueryView query={query} lines={6}>
        {(board) => <Board board={board} />}
      </QueryView>
    </Page>
  );
}

function Board({ board }: { board: SwapBoard }) {
  const t = useT();
  const { can } = useSession();
  const navigate = useNavigate();
  const { offer, ask, swap, counter } = route.useSearch();
  const [answers, ringAnswers] = [useAnswer(), useRingAnswer()];
  const due = answersDue(board);
  const proposed = bySoonest(board.waitingForOthers);
  const mayAct = can('coordinator', 'buyer', 'adult');
  const answered = board.waitingForMe.find(({ id }) => id === counter);
  const isProposing = mayAct && (ask !== undefined || answered !== undefined);
  const isChoosing = mayAct && !isProposing && offer !== undefined;
  useShown(swap === undefined ? undefined : `swap-${swap}`);
  useShown(isProposing ? 'propose' : undefined);
  useShown(isChoosing ? 'offers' : undefined);
  const choose = (open: boolean) =>
    void navigate({ to: '/swaps', search: open ? { offer: 'any' } : {}, replace: true });
  return (
    <>
      <ClosedSwapProblem answers={answers} shown={[...board.waitingForMe, ...proposed]} />
      <ClosedRingProblem answers={ringAnswers} shown={board.rings} />
      {due.map((one, index) =>
        'steps' in one ? (
          <RingCard key={one.id} ring={one} answers={ringAnswers} soonest={index === 0} />
        ) : (
          <AskedCard key={one.id} swap={one} board={board} answers={answers} soonest={index === 0} />
        ),
      )}
      {due.length === 0 && !isProposing && !isChoosing && <NothingToAnswer mayAct={mayAct} />}
      {isProposing && (
        // Another container named by the link begins another draft.
        <ProposeForm
          key={`${offer} ${ask} ${answered?.id}`}
          {...{ board, offer, ask, answered }}
          isMain={due.length === 0}
        />
      )}
      {board.rings
        .filter((ring) => !due.includes(ring))
        .map((ring) => (
          <RingCard key={ring.id} ring={ring} answers={ringAnswers} soonest={false} />
        ))}
      <Columns>
        <OffersCard {...{ board, mayAct, isChoosing, offer }} onChoose={choose} />
        <WishesCard board={board} mayAct={mayAct} />
      </Columns>
      <Columns>
        <OthersOfferCard board={board} mayAct={mayAct} />
        <FindRings board={board} mayAct={mayAct} />
      </Columns>
      <Beside alone={proposed.length === 0}>
        {proposed.length > 0 && (
          <Stack gap="wide">
            {proposed.map((one) => (
              <ProposedCard key={one.id} swap={one} board={board} answers={answers} />
            ))}
          </Stack>
        )}
        <OthersCard others={board.others} mayAct={mayAct} />
      </Beside>
      <EndedSwaps swaps={board.ended} rings={board.endedRings} />
      <Note>
        <p>{t('swaps.foodRules')}</p>
        <p>{t('common.notDeclared')}</p>
      </Note>
      <SwapWarning answers={answers} />
    </>
  );
}

const Beside = ({ alone, children }: { alone: boolean; children: ReactNode }) =>
  alone ? children : <Columns>{children}</Columns>;

/** Brings what the address names into sight; a form takes the focus too, since the link that opened it is gone. */
function useShown(id: string | undefined) {
  useEffect(() => {
    const element = id ? document.getElementById(id) : null;
    element?.querySelector<HTMLElement>('form input, form select')?.focus({ preventScroll: true });
    element?.scrollIntoView({ block: 'start' });
  }, [id]);
}

function NothingToAnswer({ mayAct }: { mayAct: boolean }) {
  const t = useT();
  const offer = mayAct && (
    <LinkButton to="/swaps" search={{ offer: 'any' }} kind="main">
      {t('swaps.offer')}
    </LinkButton>
  );
  return (
    <Card title={t('swaps.nothing')}>
      <Empty action={offer}>{t('swaps.nothingWords')}</Empty>
    </Card>
  );
}
