import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Freezer = Schemas['Freezer'];
/** What an act answers with does not say what it is in; the list, read again, does. */
export type Container = Schemas['Container'] & Partial<Pick<Freezer['items'][number], 'standing'>>;
export type EndedContainer = Freezer['ended'][number];

/** What a household holds, the earliest best-before first, and what has become of the rest. */
export const freezerQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['freezer', cooperativeId, householdId],
    meta: { topics: ['stock', 'share-outs', 'swaps', 'households'] },
    queryFn: () =>
      ok<Freezer>(
        api.GET('/api/cooperatives/{cooperativeId}/freezer', {
          params: { path: { cooperativeId }, query: { householdId } },
        }),
      ),
  });
