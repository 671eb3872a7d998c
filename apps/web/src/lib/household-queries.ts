import { queryOptions } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';

export type Household = Schemas['Household'];

/** Every household of the cooperative. */
export const householdsQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['households', cooperativeId],
    meta: { topics: ['households'] },
    queryFn: async () => {
      const params = { path: { cooperativeId } };
      return (await ok<{ items: Household[] }>(api.GET('/api/cooperatives/{cooperativeId}/households', { params })))
        .items;
    },
  });
