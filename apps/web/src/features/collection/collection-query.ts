import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Collection = Schemas['Collection'];
export type Part = Collection['parts'][number];
export type CollectedContainer = Part['containers'][number];
export type Slot = Collection['slots'][number];

/** Where and when a round is collected, by whom, and what has left. */
export const collectionQuery = (cooperativeId: string, roundId: string) =>
  queryOptions({
    queryKey: ['collection', cooperativeId, roundId],
    meta: { topics: ['share-outs', 'stock', 'swaps', 'households'] },
    queryFn: () =>
      ok<Collection>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}/collection', {
          params: { path: { cooperativeId, roundId } },
        }),
      ),
  });

export const collectedOf = (containers: readonly CollectedContainer[]): number =>
  containers.filter(({ isCollected }) => isCollected).length;
