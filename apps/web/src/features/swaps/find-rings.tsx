import { useCallback } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { useJob, type Job } from '../../lib/use-job.ts';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { JobProgress } from '../../ui/job-progress.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { say } from '../../ui/toast.tsx';
import type { SwapBoard } from './swap-query.ts';

const ringsOf = (value: unknown): number =>
  typeof value === 'object' && value !== null && 'rings' in value ? Number(value.rings) : 0;

/** Looks for rings among all that is held out and wished for; the page may be left meanwhile. */
export function FindRings({ board, mayAct }: { board: SwapBoard; mayAct: boolean }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const onEnd = useCallback(({ answer }: Job) => say(t('swaps.rings.end', { n: ringsOf(answer) })), [t]);
  const { job, open, stop, keep } = useJob('find-rings', null, onEnd);
  const find = useWrite<void, Job>({
    write: (_, headers) =>
      ok<Job>(
        api.POST('/api/cooperatives/{cooperativeId}/swap-rings', { params: { path: { cooperativeId } }, headers }),
      ),
    onSuccess: (job) => void keep(job),
  });
  const isReady = board.offers.length > 0 && board.wishes.length > 0;
  return (
    <Card title={t('swaps.rings.title')}>
      <p>{t('swaps.rings.words')}</p>
      {job && (open || job.problem) && (
        <JobProgress
          job={job}
          stop={stop}
          words={{
            stage: (code) => t(`swaps.rings.${code as 'rings-look'}`),
            best: (best) => t('swaps.rings.looking', { n: ringsOf(best) }),
          }}
        />
      )}
      <Problem error={find.error} />
      {!open && mayAct && (
        <div>
          <Button isPending={find.isPending} isDisabled={!isReady} onPress={() => find.mutate()}>
            {t('swaps.rings.find')}
          </Button>
        </div>
      )}
      {!open && !isReady && <p className="soft">{t('swaps.rings.needBoth')}</p>}
    </Card>
  );
}
