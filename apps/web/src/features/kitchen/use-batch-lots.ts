import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import type { Batch } from './yield-draft.ts';

const TOPICS = ['kitchen', 'recalls', 'buying'] as const;

/** Saying which lot went into a batch, and writing down one that nobody has written down. */
export function useBatchLots(batch: Batch) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const tell = useWrite<{ lotId: string; code: string }, Schemas['BatchLots']>({
    write: ({ lotId }, headers) =>
      ok<Schemas['BatchLots']>(
        api.POST('/api/cooperatives/{cooperativeId}/batches/{batchId}/lots', {
          params: { path: { cooperativeId, batchId: batch.id } },
          body: { lotIds: [lotId] },
          headers,
        }),
      ),
    topics: TOPICS,
    onSuccess: (_, { code }) => say(t('kitchen.lotKept', { code, batch: batch.lotCode })),
  });
  const write = useWrite<Schemas['SaveLot'], Schemas['Lot']>({
    write: (body, headers) =>
      ok<Schemas['Lot']>(
        api.POST('/api/cooperatives/{cooperativeId}/lots', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: TOPICS,
    onSuccess: async ({ id, code }) => {
      await tell.mutateAsync({ lotId: id, code });
    },
  });
  return { tell, write };
}
