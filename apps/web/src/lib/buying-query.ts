import { queryOptions } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';

export type Buying = Schemas['Buying'];
export type Purchase = Schemas['Purchase'];
export type Receipt = Schemas['Receipt'];

/** The shopping of a round: lists per seller and receipts. */
export const buyingQuery = (cooperativeId: string, roundId: string) =>
  queryOptions({
    queryKey: ['buying', cooperativeId, roundId],
    meta: { topics: ['buying', 'rounds', 'recipes'] },
    queryFn: () =>
      ok<Buying>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}/buying', {
          params: { path: { cooperativeId, roundId } },
        }),
      ),
  });
