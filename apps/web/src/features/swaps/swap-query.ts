import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type SwapBoard = Schemas['SwapBoard'];
export type Swap = Schemas['Swap'];
export type Container = Schemas['Container'];
export type Ring = Schemas['SwapRing'];
export type Wish = Schemas['SwapWish'];

/** Swaps of a household, its containers, and what others hold that it could ask for. */
export const swapsQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['swaps', cooperativeId, householdId],
    meta: { topics: ['swaps', 'stock', 'share-outs', 'households'] },
    queryFn: () =>
      ok<SwapBoard>(
        api.GET('/api/cooperatives/{cooperativeId}/swaps', {
          params: { path: { cooperativeId }, query: { householdId } },
        }),
      ),
  });
