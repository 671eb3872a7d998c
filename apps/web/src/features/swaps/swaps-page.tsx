import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useEffect, type ReactNode } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { Columns, Page, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { EndedSwaps } from './ended-swaps.tsx';
import { bySoonest } from './my-side.ts';
import { OthersCard } from './others-card.tsx';
import { ProposeForm } from './propose-form.tsx';
import { AskedCard, ClosedSwapProblem, ProposedCard } from './swap-card.tsx';
import { swapsQuery, type SwapBoard } from './swap-query.ts';
import { useAnswer } from './use-answer.ts';
import { SwapWarning } from './warning.tsx';

const route = getRouteApi('/member/swaps');

/** Answers that wait for my household first, then what it has proposed, what others hold, and what became of earlier swaps. */
export function SwapsPage() {
  const t = useT();
  const formats = useFormats();
  const { cooperative, cooperativeId, householdId } = useSession();
  const query = useQuery(swapsQuery(cooperativeId, householdId));
  const today = formats.day(cooperative.today, 'long');
  return (
    <Page
      title={t('swaps.title')}
      aside={query.data ? t('swaps.toAnswer', { today, n: query.data.waitingForMe.length }) : today}
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
  const { offer, ask, swap } = route.useSearch();
  const answers = useAnswer();
  const asked = bySoonest(board.waitingForMe);
  const proposed = bySoonest(board.waitingForOthers);
  const mayAct = can('coordinator', 'buyer', 'adult');
  const isProposing = mayAct && (offer !== undefined || ask !== undefined);
  useShown(swap === undefined ? undefined : `swap-${swap}`);
  useShown(isProposing ? 'propose' : undefined);
  const propose = isProposing && (
    // Another container named by the link begins another draft.
    <ProposeForm key={`${offer} ${ask}`} board={board} offer={offer} ask={ask} isMain={asked.length === 0} />
  );
  return (
    <>
      <ClosedSwapProblem answers={answers} shown={[...asked, ...proposed]} />
      {asked.map((one, index) => (
        <AskedCard key={one.id} swap={one} answers={answers} soonest={index === 0} />
      ))}
      {asked.length === 0 && !isProposing && <NothingToAnswer mayAct={mayAct} />}
      {propose}
      {asked.length > 0 && mayAct && !isProposing && (
        <div>
          <LinkButton to="/swaps" search={{ offer: 'any' }}>
            {t('swaps.offer')}
          </LinkButton>
        </div>
      )}
      <Beside alone={proposed.length === 0}>
        {proposed.length > 0 && (
          <Stack gap="wide">
            {proposed.map((one) => (
              <ProposedCard key={one.id} swap={one} answers={answers} />
            ))}
          </Stack>
        )}
        <OthersCard others={board.others} mayAct={mayAct} />
      </Beside>
      <EndedSwaps swaps={board.ended} />
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
