import type { ReactNode } from 'react';
import { ApiProblem } from '../lib/api/problem.ts';
import { useT } from '../lib/locale.tsx';
import { isOpen, type Job, type useJob } from '../lib/use-job.ts';
import { Button } from './button.tsx';
import { Problem } from './problem-box.tsx';

interface Words {
  /** what is being done, in words, by the code of the stage */
  stage: (code: string) => ReactNode;
  /** the best result so far, in words */
  best?: (best: Record<string, string | number>) => ReactNode;
}

/** Long work on the screen: its stage in words, the best so far, and "Stop and keep this". The page can be left and come back to. */
export function JobProgress({ job, stop, words }: { job: Job; stop: ReturnType<typeof useJob>['stop']; words: Words }) {
  const t = useT();
  if (job.problem) return <JobProblem job={job} />;
  if (!isOpen(job)) return null;
  const { stage, stages, code, best } = job;
  return (
    <div className="job">
      <div role="status" className="job-words">
        <p className="job-stage">
          {code === null || stage === null || stages === null
            ? t(job.state === 'queued' ? 'common.job.waiting' : 'common.job.begun')
            : t('common.job.stage', { stage, stages })}
          {code !== null && <> {words.stage(code)}</>}
        </p>
        {best && words.best && <p>{words.best(best)}</p>}
        {job.stopAsked && <p>{t('common.job.stopping')}</p>}
      </div>
      {stage !== null && stages !== null && (
        <div className="job-track" aria-hidden="true">
          {Array.from({ length: stages }, (_, index) => (
            <span key={index} className={index < stage ? 'job-step job-step-reached' : 'job-step'} />
          ))}
        </div>
      )}
      <p className="soft">{t('common.job.leave')}</p>
      <Problem error={stop.problem} />
      {job.mayStop && (
        <div>
          <Button onPress={() => stop.mutate(job.id)} isPending={stop.isPending}>
            {t(best ? 'common.job.stopKeep' : 'common.job.stop')}
          </Button>
        </div>
      )}
    </div>
  );
}

/** Why it came to nothing; empty for a job that did not fail. */
function JobProblem({ job }: { job: Job }) {
  if (!job.problem) return null;
  const { code, params } = job.problem;
  return <Problem error={new ApiProblem({ status: 500, code, detail: '', ...(params ? { params } : {}) })} />;
}
