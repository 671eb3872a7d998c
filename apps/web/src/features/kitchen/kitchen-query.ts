import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Kitchen } from './yield-draft.ts';

export const kitchenQuery = (cooperativeId: string, roundId: string) =>
  queryOptions({
    queryKey: ['kitchen', cooperativeId, roundId],
    meta: { topics: ['kitchen', 'rounds', 'recipes'] },
    queryFn: () =>
      ok<Kitchen>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}/kitchen', {
          params: { path: { cooperativeId, roundId } },
        }),
      ),
  });
