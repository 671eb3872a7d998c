import { useQueryClient } from '@tanstack/react-query';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import { swapsQuery, type Ring } from './swap-query.ts';

export interface RingAnswer {
  ring: Ring;
  answer: 'accept' | 'decline';
}

/** My household's answer to rings. */
export function useRingAnswer() {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const queryClient = useQueryClient();
  const write = useWrite<RingAnswer, Ring>({
    write: ({ ring, answer }, headers) =>
      ok<Ring>(
        api.POST('/api/cooperatives/{cooperativeId}/swap-rings/{swapRingId}/answer', {
          params: { path: { cooperativeId, swapRingId: ring.id } },
          body: { householdId, answer },
          headers: { ...headers, ...ifMatch(ring.version) },
        }),
      ),
    topics: ['swaps', 'stock', 'share-outs', 'accounts', 'rounds'],
    onSuccess: ({ state }) => say(t(`swaps.ring.saidNow.${state}`)),
  });
  const answer = (request: RingAnswer) =>
    write.mutate(request, {
      // A refusal often means that the ring is closed by now.
      onError: () => void queryClient.invalidateQueries({ queryKey: swapsQuery(cooperativeId, householdId).queryKey }),
    });
  return { write, answer };
}
export type RingAnswers = ReturnType<typeof useRingAnswer>;
