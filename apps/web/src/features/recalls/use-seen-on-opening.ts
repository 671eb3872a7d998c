import { useQuery } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { noticesQuery, type Notice } from '../../lib/notices-query.ts';
import { useCooperativeId } from '../../lib/session.tsx';

/** Whoever has a recall before their eyes has seen its notices, so that the coordinator knows whom to call. */
export function useSeenOnOpening(recallId: string, isShown: boolean): void {
  const cooperativeId = useCooperativeId();
  const { data } = useQuery(noticesQuery(cooperativeId));
  const told = useRef(new Set<string>());
  const { mutate, isPending } = useWrite<string, Notice>({
    write: (noticeId, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/notices/{noticeId}/seen', {
          params: { path: { cooperativeId, noticeId } },
          headers,
        }),
      ),
    topics: ['notices'],
  });
  useEffect(() => {
    const next = data?.items.find(
      ({ id, seen, subjectId }) => !seen && subjectId === recallId && !told.current.has(id),
    );
    if (!next || !isShown || isPending) return;
    // Once for each, also when it fails: it can still be marked on the page of notices.
    told.current.add(next.id);
    mutate(next.id);
  }, [data, recallId, isShown, isPending, mutate]);
}
