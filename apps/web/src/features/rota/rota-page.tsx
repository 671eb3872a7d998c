import { useQuery } from '@tanstack/react-query';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { useJob } from '../../lib/use-job.ts';
import { Card } from '../../ui/card.tsx';
import { JobProgress } from '../../ui/job-progress.tsx';
import { Columns, Page, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { DraftBoard } from './draft-board.tsx';
import { DraftLimits } from './draft-limits.tsx';
import { LoadsCard } from './loads-card.tsx';
import { ProposeForm } from './propose-form.tsx';
import { PublishCard } from './publish-card.tsx';
import { PublishedCard } from './published-card.tsx';
import './rota.css';
import { rotaQuery, type Rota } from './rota-queries.ts';

/** For those who coordinate: who cooks when, worked out, set by hand, published. */
export function RotaPage() {
  const t = useT();
  const { cooperative, cooperativeId, can } = useSession();
  const rota = useQuery(rotaQuery(cooperativeId));
  return (
    <Page title={t('rota.title')} aside={cooperative.name}>
      <QueryView query={rota} lines={8}>
        {(data) => (can('coordinator') ? <Parts rota={data} /> : <PublishedCard rota={data} />)}
      </QueryView>
    </Page>
  );
}

function Parts({ rota }: { rota: Rota }) {
  const t = useT();
  const work = useJob('rota', null);
  const { draft } = rota;
  const words = { stage: (code: string) => t(code === 'rota-save' ? 'rota.stage.save' : 'rota.stage.search') };
  return (
    <Columns form="wideFirst">
      <Stack gap="wide">
        {work.open && work.job && (
          <Card title={t('rota.working')}>
            <JobProgress job={work.job} stop={work.stop} words={words} />
          </Card>
        )}
        {draft && <DraftLimits draft={draft} />}
        {draft && <DraftBoard draft={draft} />}
        {draft && <PublishCard draft={draft} />}
        <PublishedCard rota={rota} />
      </Stack>
      <Stack gap="wide">
        {draft && <LoadsCard draft={draft} />}
        <ProposeForm rota={rota} work={work} />
      </Stack>
    </Columns>
  );
}
