import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { recallsQuery, type Recalls } from '../../lib/recalls-query.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Columns, Page, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { LotsCard } from './lots-card.tsx';
import './recalls.css';
import { StartRecallCard } from './start-recall-card.tsx';
import { SuspectCard } from './suspect-card.tsx';

const route = getRouteApi('/member/recalls');

/** What was called back, what somebody suspects, and the lots that a recall is traced by. */
export function RecallsPage() {
  const t = useT();
  const { cooperativeId, can } = useSession();
  const { source } = route.useSearch();
  const query = useQuery(recallsQuery(cooperativeId));
  const mayWrite = can('coordinator', 'buyer', 'adult');
  return (
    <Page title={t('recalls.title')}>
      <QueryView query={query}>
        {(data) => (
          <>
            <RecallList items={data.items} />
            {data.suspicions.length > 0 && <Suspicions items={data.suspicions} />}
          </>
        )}
      </QueryView>
      <Columns>
        <Stack>
          {can('coordinator') && <StartRecallCard key={source} source={source} />}
          {mayWrite && <SuspectCard />}
        </Stack>
        {mayWrite && <LotsCard />}
      </Columns>
    </Page>
  );
}

function RecallList({ items }: { items: Recalls['items'] }) {
  const t = useT();
  const formats = useFormats();
  if (items.length === 0) return <Empty>{t('recalls.none')}</Empty>;
  return (
    <Card>
      <List>
        {items.map(({ id, what, lotCode, drill, createdBy, createdAt, closedAt, toAnswer }) => (
          <ListRow
            key={id}
            framed={toAnswer > 0}
            title={`${drill ? `${t('recalls.drill')}: ` : ''}${t('recalls.name', { what, lot: lotCode })}`}
            detail={t('recalls.startedBy', { name: createdBy, at: formats.dayTime(createdAt) })}
            acts={
              <LinkButton to="/recalls/$recallId" params={{ recallId: id }}>
                {t(toAnswer > 0 ? 'nav.recallAnswer' : 'common.more')}
              </LinkButton>
            }
          >
            <StateMark state={closedAt ? 'done' : toAnswer > 0 ? 'problem' : 'waiting'}>
              {closedAt
                ? t('recalls.closedAt', { at: formats.dayTime(closedAt) })
                : toAnswer > 0
                  ? t('recalls.toAnswer', { n: toAnswer })
                  : t('recalls.open')}
            </StateMark>
          </ListRow>
        ))}
      </List>
    </Card>
  );
}

function Suspicions({ items }: { items: Recalls['suspicions'] }) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  return (
    <Card title={t('recalls.suspicions')}>
      <List>
        {items.map(({ id, container, household, reason, words, createdAt }) => (
          <ListRow
            key={id}
            title={t('recalls.suspicionOf', { household: household.name, reason: t(`recalls.reason.${reason}`) })}
            detail={
              <>
                {container.dish} · {t('recalls.label', { code: container.code })} · {formats.dayTime(createdAt)}
                {words && <> · {words}</>}
              </>
            }
            acts={
              can('coordinator') && (
                <LinkButton to="/recalls" search={{ source: `batch ${container.batchId}` }}>
                  {t('recalls.recallBatch')}
                </LinkButton>
              )
            }
          />
        ))}
      </List>
    </Card>
  );
}
