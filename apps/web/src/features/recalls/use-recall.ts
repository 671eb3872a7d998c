import { useQueryClient } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { recallQuery, type Fate, type Recall } from './recall-query.ts';

type Answer = Exclude<Fate, 'gone' | 'none'>;
export interface Answers {
  householdId: string | null;
  answers: { containerId: string; answer: Answer; eatenOn: string | null }[];
}

const TOPICS = ['recalls', 'stock'] as const;

/** What can be done with a recall; each answer of the server is the recall as it is then. */
export function useRecall(recallId: string) {
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  const params = { path: { cooperativeId, recallId } };
  const keep = (next: Recall) => {
    queryClient.setQueryData(recallQuery(cooperativeId, recallId).queryKey, next);
  };
  const answer = useWrite<Answers, Recall>({
    write: (body, headers) =>
      ok(api.POST('/api/cooperatives/{cooperativeId}/recalls/{recallId}/answers', { params, body, headers })),
    topics: TOPICS,
    onSuccess: keep,
  });
  const remind = useWrite<string, Recall>({
    write: (householdId, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/recalls/{recallId}/remind', {
          params,
          body: { householdId },
          headers,
        }),
      ),
    onSuccess: keep,
  });
  const close = useWrite<string, Recall>({
    write: (words, headers) =>
      ok(api.POST('/api/cooperatives/{cooperativeId}/recalls/{recallId}/close', { params, body: { words }, headers })),
    topics: TOPICS,
    onSuccess: keep,
  });
  return { answer, remind, close };
}
