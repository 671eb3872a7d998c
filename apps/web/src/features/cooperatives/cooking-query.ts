import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Cooking = Schemas['HouseholdCooking'];

/** What a household's turns depend on. */
export const cookingQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['households', cooperativeId, householdId, 'cooking'],
    meta: { topics: ['households', 'rota'] },
    queryFn: () =>
      ok<Cooking>(
        api.GET('/api/cooperatives/{cooperativeId}/households/{householdId}/cooking', {
          params: { path: { cooperativeId, householdId } },
        }),
      ),
  });
