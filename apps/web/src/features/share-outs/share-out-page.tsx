import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { isProblem } from '../../lib/api/client.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { PLACE_OF, type Round } from '../../lib/round-stage.ts';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { ExcludedFood } from '../../ui/excluded-food.tsx';
import { MoveRound } from '../../ui/move-round.tsx';
import { Columns, Row } from '../../ui/page.tsx';
import { PrintLabels } from '../../ui/print-labels.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { ClaimTimes, ClaimWindowForm } from './claim-times.tsx';
import { CollectionList } from './collection-list.tsx';
import { CorrectContainer, CorrectionsCard } from './corrections-card.tsx';
import { EverybodyCard } from './everybody-card.tsx';
import { FairnessCard } from './fairness-card.tsx';
import { OwnPartCard } from './own-part-card.tsx';
import { PoolCard } from './pool-card.tsx';
import { shareOutQuery, type Container, type ShareOut } from './share-out-query.ts';
import { useClaims, type Claims } from './use-claims.ts';
import { useDishLine } from './use-line.ts';
import { WaitingCard } from './waiting-card.tsx';
import { WhatIfCard } from './what-if-card.tsx';
import { WhyCard } from './why-card.tsx';
import { Numbers, WorkOut } from './work-out.tsx';

const route = getRouteApi('/member/rounds/$roundId/share-out');

/** Who gets which containers of a round and why; claiming and releasing; and for the coordinator working it out. */
export function ShareOutPage() {
  const { roundId } = route.useParams();
  return (
    <RoundPage key={roundId} roundId={roundId} stage="share-out" aside={(round) => <HowFar round={round} />}>
      {(round) => <RoundShareOut round={round} />}
    </RoundPage>
  );
}

const useShareOut = (roundId: string) => useQuery(shareOutQuery(useCooperativeId(), roundId));

function HowFar({ round }: { round: Round }) {
  const t = useT();
  const formats = useFormats();
  const { data } = useShareOut(round.id);
  if (!data || data.state === 'none') return null;
  if (data.state === 'proposed') return <StateMark state="waiting">{t('shareOut.notConfirmed')}</StateMark>;
  return (
    <>
      <StateMark state="done">
        {t('shareOut.confirmedBy', {
          name: data.confirmedBy ?? '',
          at: data.confirmedAt ? formats.dayTime(data.confirmedAt) : '',
        })}
      </StateMark>
      <ClaimTimes shareOut={data} />
    </>
  );
}

function RoundShareOut({ round }: { round: Round }) {
  const query = useShareOut(round.id);
  return (
    <QueryView query={query} lines={6}>
      {(shareOut) =>
        shareOut.state === 'none' && shareOut.stage !== 'sharing' ? (
          <>
            <NothingYet round={round} />
            {round.stage === 'cooking' && <WhatIfCard roundId={round.id} />}
          </>
        ) : (
          <Sharing shareOut={shareOut} />
        )
      }
    </QueryView>
  );
}

/** Before the share-out: what is being waited for, and the way there. */
function NothingYet({ round }: { round: Round }) {
  const t = useT();
  const formats = useFormats();
  const place = PLACE_OF[round.stage];
  const way = (
    <Row>
      {round.stage === 'cooking' && <MoveRound round={round} />}
      <LinkButton to={`/rounds/$roundId/${place}`} params={{ roundId: round.id }}>
        {t('shareOut.openStage', { stage: t(`round.stage.${place}`) })}
      </LinkButton>
    </Row>
  );
  return (
    <Card title={t('shareOut.nothingYet')}>
      <Empty action={way}>{t('shareOut.cookingIsOn', { date: formats.day(round.cookOn) })}</Empty>
    </Card>
  );
}

function Sharing({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const { householdId, can } = useSession();
  const claims = useClaims(shareOut.roundId);
  const waits = useDishLine();
  const mayAct = can('coordinator', 'buyer', 'adult');
  const own = shareOut.parts.find(({ household }) => household.id === householdId);
  const claim = (container: Container) => claims.ask({ container, any: false, confirmWords: null });
  return (
    <>
      {shareOut.state !== 'confirmed' && <WorkOut shareOut={shareOut} />}
      {shareOut.state !== 'none' &&
        (own ? (
          <Columns>
            <OwnPartCard {...{ shareOut, own, claims, mayAct }} onClaim={claim} />
            <WhyCard shareOut={shareOut} own={own} />
          </Columns>
        ) : (
          <Card title={t('shareOut.notOurs')}>
            <Empty>{t('shareOut.notOursWords')}</Empty>
          </Card>
        ))}
      {(shareOut.state !== 'none' || shareOut.policy === 'before') && (
        <PoolCard {...{ shareOut, claims, waits, mayAct }} />
      )}
      {(shareOut.state === 'confirmed' || shareOut.policy === 'before') && (
        <WaitingCard {...{ shareOut, waits, mayAct }} />
      )}
      {shareOut.state !== 'none' && <EverybodyCard shareOut={shareOut} householdId={householdId} />}
      {can('coordinator') && shareOut.policy !== 'none' && shareOut.stage === 'sharing' && (
        <ClaimWindowForm key={shareOut.window?.closesAt ?? 'none'} shareOut={shareOut} />
      )}
      <CorrectionsCard shareOut={shareOut} />
      {shareOut.state !== 'confirmed' && shareOut.totalPortions > 0 && <WhatIfCard roundId={shareOut.roundId} />}
      <FairnessCard shareOut={shareOut} householdId={householdId} />
      {shareOut.state === 'confirmed' && can('coordinator') && (
        <Row>
          <Numbers shareOut={shareOut} />
          {shareOut.stage === 'sharing' && <CorrectContainer shareOut={shareOut} />}
        </Row>
      )}
      {shareOut.state === 'confirmed' && (
        <Row>
          <PrintLabels roundId={shareOut.roundId} households={shareOut.parts.map(({ household }) => household)} />
        </Row>
      )}
      {shareOut.state === 'confirmed' && <CollectionList shareOut={shareOut} />}
      <Warning claims={claims} />
    </>
  );
}

/** The step between pressing claim and taking something that a diner must not eat. */
function Warning({ claims }: { claims: Claims }) {
  const t = useT();
  const { claim, warned, ask, dropWarning } = claims;
  return (
    <ExcludedFood
      isOpen={warned !== null}
      what={warned?.container.dish ?? ''}
      subjects={warned?.subjects ?? ''}
      ingredients={warned?.ingredients ?? ''}
      confirm={t('shareOut.claimAllTheSame')}
      isPending={claim.isPending}
      error={isProblem(claim.error, 'excluded-food') ? undefined : claim.error}
      onConfirm={(confirmWords) => warned && ask({ container: warned.container, any: warned.any, confirmWords })}
      onClose={dropWarning}
    />
  );
}
