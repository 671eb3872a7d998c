import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useT } from '../../lib/locale.tsx';
import { useRound } from '../../lib/rounds.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Columns, Row } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { ChoiceCard } from './choice-card.tsx';
import './collection.css';
import { collectedOf, collectionQuery, type Collection } from './collection-query.ts';
import { DoorCard } from './door-card.tsx';
import { PlaceCard } from './place-card.tsx';
import { Sheets } from './sheets.tsx';
import { UncollectedCard } from './uncollected-card.tsx';

const route = getRouteApi('/member/rounds/$roundId/collect');

/** Collecting a round's containers: where and when, who comes for whom, and the list at the door. */
export function CollectionPage() {
  const t = useT();
  const { roundId } = route.useParams();
  const { cooperativeId } = useSession();
  const round = useRound(roundId).data;
  const query = useQuery(collectionQuery(cooperativeId, roundId));
  return (
    <RoundPage
      key={roundId}
      roundId={roundId}
      stage="share-out"
      title={round && t('collection.title', { round: round.number })}
      aside={() => query.data && <Counts collection={query.data} />}
    >
      {() => (
        <QueryView query={query} lines={6}>
          {(collection) =>
            collection.state === 'not-shared' ? <NotShared roundId={roundId} /> : <Parts collection={collection} />
          }
        </QueryView>
      )}
    </RoundPage>
  );
}

function Counts({ collection }: { collection: Collection }) {
  const t = useT();
  const all = collection.parts.flatMap(({ containers }) => containers);
  if (all.length === 0) return null;
  return <span>{t('collection.counts', { done: collectedOf(all), n: all.length })}</span>;
}

function NotShared({ roundId }: { roundId: string }) {
  const t = useT();
  const way = (
    <LinkButton to="/rounds/$roundId/share-out" params={{ roundId }}>
      {t('collection.openShareOut')}
    </LinkButton>
  );
  return (
    <Card title={t('collection.notShared')}>
      <Empty action={way}>{t('collection.notSharedWords')}</Empty>
    </Card>
  );
}

function Parts({ collection }: { collection: Collection }) {
  const t = useT();
  const { householdId } = useSession();
  const own = collection.parts.find(({ household }) => household.id === householdId);
  return (
    <>
      <div className="no-print collect-screen">
        <UncollectedCard collection={collection} />
        <Columns>
          <PlaceCard key={collection.version} collection={collection} />
          {own && collection.state === 'set' && <ChoiceCard collection={collection} part={own} />}
        </Columns>
        <DoorCard collection={collection} />
        <Row>
          <LinkButton to="/rounds/$roundId/share-out" params={{ roundId: collection.roundId }}>
            {t('collection.openShareOut')}
          </LinkButton>
          <PrintButton>{t('collection.print')}</PrintButton>
        </Row>
      </div>
      <Sheets collection={collection} />
    </>
  );
}
