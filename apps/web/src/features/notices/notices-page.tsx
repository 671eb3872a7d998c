import { useQuery, useQueryClient } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { noticesQuery, type Notice, type Notices } from '../../lib/notices-query.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Page, Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { ByMailCard } from './by-mail-card.tsx';
import { pathOf, useNoticeWords } from './notice-words.ts';

/** What my household has been told, the newest first, and who of it has seen it. */
export function NoticesPage() {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const query = useQuery(noticesQuery(cooperativeId));
  const queryClient = useQueryClient();
  const path = { cooperativeId };
  const seeAll = useWrite<void, Notices>({
    write: (_, headers) =>
      ok(api.POST('/api/cooperatives/{cooperativeId}/notices/seen', { params: { path }, headers })),
    onSuccess: (next) => {
      queryClient.setQueryData(noticesQuery(cooperativeId).queryKey, next);
    },
  });
  const see = useWrite<string, Notice>({
    write: (noticeId, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/notices/{noticeId}/seen', {
          params: { path: { cooperativeId, noticeId } },
          headers,
        }),
      ),
    topics: ['notices'],
  });
  const unseen = query.data?.unseen ?? 0;
  return (
    <Page title={t('notices.title')} aside={unseen > 0 ? t('notices.unseen', { n: unseen }) : undefined}>
      <QueryView query={query}>
        {({ items }) => (
          <Card>
            {unseen > 1 && (
              <Row>
                <Button onPress={() => seeAll.mutate()} isPending={seeAll.isPending}>
                  {t('notices.allSeen')}
                </Button>
              </Row>
            )}
            <Problem error={seeAll.problem ?? see.problem} />
            {items.length === 0 && <Empty>{t('notices.empty')}</Empty>}
            {items.length > 0 && (
              <List>
                {items.map((notice) => (
                  <NoticeRow key={notice.id} notice={notice} onSeen={() => see.mutate(notice.id)} />
                ))}
              </List>
            )}
          </Card>
        )}
      </QueryView>
      <ByMailCard />
    </Page>
  );
}

function NoticeRow({ notice, onSeen }: { notice: Notice; onSeen: () => void }) {
  const t = useT();
  const formats = useFormats();
  const { title, words } = useNoticeWords()(notice);
  const names = notice.seenBy.map(({ name }) => name);
  return (
    <ListRow
      title={title}
      detail={words}
      mine={!notice.seen}
      acts={
        <>
          {!notice.seen && (
            <Button onPress={onSeen} aria-label={`${t('notices.see')}: ${title}`}>
              {t('notices.see')}
            </Button>
          )}
          {/* Whoever opens what it is about has seen it. */}
          <LinkButton
            to={pathOf[notice.kind](notice.subjectId ?? '')}
            aria-label={`${t('notices.open')}: ${title}`}
            onClick={() => {
              if (!notice.seen) onSeen();
            }}
          >
            {t('notices.open')}
          </LinkButton>
        </>
      }
    >
      <span className="small soft">
        {formats.dayTime(notice.createdAt)} ·{' '}
        {names.length > 0 ? t('notices.seenBy', { names: formats.list(names) }) : t('notices.seenByNobody')}
      </span>
    </ListRow>
  );
}
