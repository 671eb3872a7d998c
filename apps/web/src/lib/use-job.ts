import { queryOptions, useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';
import { useWrite } from './api/use-write.ts';
import { useCooperativeId } from './session.tsx';

export type Job = Schemas['Job'];

export const isOpen = (job: Job): boolean => job.state === 'queued' || job.state === 'running';

/** Often enough to see it go on where live events do not reach (a proxy that holds them back). */
const LOOK_AGAIN_MS = 3000;

/** The newest job of a kind about one thing, kept fresh by the live stream: `job` is null where there never was one. */
const jobQuery = (cooperativeId: string, kind: string, subjectId: string | null) =>
  queryOptions({
    queryKey: ['jobs', cooperativeId, kind, subjectId],
    meta: { topics: ['jobs'] },
    refetchInterval: ({ state }) => (state.data && isOpen(state.data) ? LOOK_AGAIN_MS : false),
    queryFn: async (): Promise<Job | null> => {
      const query = { kind, ...(subjectId === null ? {} : { subjectId }) };
      const params = { path: { cooperativeId }, query };
      return (await ok(api.GET('/api/cooperatives/{cooperativeId}/jobs', { params }))).job;
    },
  });

/**
 * Long work about one thing: the job as it is now, so that a page that was left shows it again, and how to stop it. `keep` takes the job that a start
 * has just answered; `onEnd` is called once when it ends while the page is open.
 */
export function useJob(kind: string, subjectId: string | null, onEnd?: (job: Job) => void) {
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  const query = jobQuery(cooperativeId, kind, subjectId);
  const { data: job = null } = useQuery(query);
  const stop = useWrite<string, Job>({
    write: (jobId, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/jobs/{jobId}/stop', {
          params: { path: { cooperativeId, jobId } },
          headers,
        }),
      ),
    topics: ['jobs'],
  });
  const seen = useRef<string | null>(null);
  useEffect(() => {
    if (!job) return;
    if (isOpen(job)) seen.current = job.id;
    else if (seen.current === job.id) {
      seen.current = null;
      onEnd?.(job);
    }
  }, [job, onEnd]);
  const keep = (started: Job) => queryClient.setQueryData(query.queryKey, started);
  return { job, open: job !== null && isOpen(job), stop, keep };
}
