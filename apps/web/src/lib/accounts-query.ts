import { queryOptions } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';

export type Accounts = Schemas['Accounts'];

/** Balances of every household in both books, and the payments due. */
export const accountsQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['accounts', cooperativeId],
    meta: { topics: ['accounts', 'buying', 'share-outs', 'swaps', 'rota', 'households'] },
    queryFn: () =>
      ok<Accounts>(api.GET('/api/cooperatives/{cooperativeId}/accounts', { params: { path: { cooperativeId } } })),
  });
