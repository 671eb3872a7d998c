import { queryOptions } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';

export type Recalls = Schemas['Recalls'];

/** Every recall, with how many containers my household has still to answer for. */
export const recallsQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['recalls', cooperativeId],
    meta: { topics: ['recalls'] },
    queryFn: () =>
      ok<Recalls>(api.GET('/api/cooperatives/{cooperativeId}/recalls', { params: { path: { cooperativeId } } })),
  });
