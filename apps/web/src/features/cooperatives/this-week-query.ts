import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type ThisWeek = Schemas['ThisWeek'];
export type Task = Schemas['Task'];
export type Week = ThisWeek['weeks'][number];

/** What is next for a household, and who cooks in the coming weeks; almost everything moves it. */
export const thisWeekQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['this-week', cooperativeId, householdId],
    meta: { topics: ['rounds', 'buying', 'kitchen', 'share-outs', 'stock', 'swaps', 'accounts', 'households', 'rota'] },
    queryFn: () =>
      ok<ThisWeek>(
        api.GET('/api/cooperatives/{cooperativeId}/this-week', {
          params: { path: { cooperativeId }, query: { householdId } },
        }),
      ),
  });
