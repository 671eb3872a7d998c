import { queryOptions, useQuery } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Round, RoundSummary } from './round-stage.ts';
import { useCooperativeId } from './session.tsx';

/** All rounds of the cooperative. */
const roundsQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['rounds', cooperativeId],
    meta: { topics: ['rounds', 'share-outs'] },
    queryFn: () =>
      ok<{ items: RoundSummary[] }>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds', { params: { path: { cooperativeId } } }),
      ),
  });

/** One round; its figures and open points change with almost everything, so it is read again on many topics. */
export const roundQuery = (cooperativeId: string, roundId: string) =>
  queryOptions({
    queryKey: ['rounds', cooperativeId, roundId],
    meta: { topics: ['rounds', 'recipes', 'buying', 'kitchen', 'share-outs', 'swaps', 'stock', 'households'] },
    queryFn: () =>
      ok<Round>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}', { params: { path: { cooperativeId, roundId } } }),
      ),
  });

export const useRounds = () => useQuery(roundsQuery(useCooperativeId()));
export const useRound = (roundId: string) => useQuery(roundQuery(useCooperativeId(), roundId));
