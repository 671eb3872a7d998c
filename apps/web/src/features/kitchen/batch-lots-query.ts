import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type BatchLots = Schemas['BatchLotChoices'];

/** Which lots of what was bought may be in a batch, and which are, as far as somebody has said. */
export const batchLotsQuery = (cooperativeId: string, batchId: string) =>
  queryOptions({
    queryKey: ['batch-lots', cooperativeId, batchId],
    meta: { topics: ['kitchen', 'buying', 'recalls'] },
    queryFn: () =>
      ok<BatchLots>(
        api.GET('/api/cooperatives/{cooperativeId}/batches/{batchId}/lots', {
          params: { path: { cooperativeId, batchId } },
        }),
      ),
  });
