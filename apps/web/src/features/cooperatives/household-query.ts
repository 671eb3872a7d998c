import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Household } from '../../lib/household-queries.ts';

export type Diner = Household['diners'][number];
export type Restriction = NonNullable<Diner['restrictions']>[number];

/** One household as the reader may see it. */
export const householdQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['households', cooperativeId, householdId],
    meta: { topics: ['households', 'cooperative', 'stock', 'rounds'] },
    queryFn: () =>
      ok<Household>(
        api.GET('/api/cooperatives/{cooperativeId}/households/{householdId}', {
          params: { path: { cooperativeId, householdId } },
        }),
      ),
  });
