import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Note } from '../../ui/card.tsx';
import { Page } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { MyPart } from './my-part.tsx';
import { recallQuery } from './recall-query.ts';
import './recalls.css';
import { RecallReport } from './report.tsx';
import { useRecall } from './use-recall.ts';
import { useSeenOnOpening } from './use-seen-on-opening.ts';

const route = getRouteApi('/member/recalls/$recallId');

/** One recall: what my household must do, and for coordinators who has what and who is not reached. */
export function RecallPage() {
  const t = useT();
  const formats = useFormats();
  const { recallId } = route.useParams();
  const query = useQuery(recallQuery(useCooperativeId(), recallId));
  const acts = useRecall(recallId);
  useSeenOnOpening(recallId, query.data !== undefined);
  const recall = query.data;
  const name = recall ? t('recalls.name', { what: recall.what, lot: recall.lotCode }) : '';
  const title = recall
    ? t(recall.drill ? 'recalls.pageTitleDrill' : 'recalls.pageTitle', { name })
    : t('recalls.title');
  const aside = recall && t('recalls.startedBy', { name: recall.createdBy, at: formats.dayTime(recall.createdAt) });
  return (
    <Page title={title} aside={aside}>
      <QueryView query={query} lines={6}>
        {(data) => (
          <>
            {data.drill && <Note>{t('recalls.drillWords')}</Note>}
            {data.closedAt && (
              <Note>
                {t('recalls.closedAt', { at: formats.dayTime(data.closedAt) })} {data.closedWords}
              </Note>
            )}
            <MyPart recall={data} />
            {data.report && (
              <RecallReport
                recall={data}
                report={data.report}
                acts={acts}
                isMain={data.mine.every(({ fate }) => fate !== 'none')}
              />
            )}
          </>
        )}
      </QueryView>
    </Page>
  );
}
