import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Rota = Schemas['Rota'];
export type Draft = NonNullable<Rota['draft']>;
export type DraftWeek = Draft['weeks'][number];
export type Turn = Schemas['RotaTurn'];
export type TurnHistory = Schemas['RotaTurnHistory'];
export type TurnSwap = Schemas['TurnSwap'];
export type TurnSwaps = Schemas['TurnSwaps'];

/** The draft of the rota, and the published turns from this week on. */
export const rotaQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['rota', cooperativeId],
    meta: { topics: ['rota', 'rounds', 'households', 'accounts'] },
    queryFn: () => ok<Rota>(api.GET('/api/cooperatives/{cooperativeId}/rota', { params: { path: { cooperativeId } } })),
  });

/** A turn, and how it went from one household to another. */
export const turnHistoryQuery = (cooperativeId: string, turnId: string) =>
  queryOptions({
    queryKey: ['rota', cooperativeId, 'turn', turnId],
    meta: { topics: ['rota'] },
    queryFn: () =>
      ok<TurnHistory>(
        api.GET('/api/cooperatives/{cooperativeId}/rota-turns/{turnId}', {
          params: { path: { cooperativeId, turnId } },
        }),
      ),
  });

/** A household's turns, those of others, and swaps of them. */
export const turnSwapsQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['rota', cooperativeId, 'swaps', householdId],
    meta: { topics: ['rota'] },
    queryFn: () =>
      ok<TurnSwaps>(
        api.GET('/api/cooperatives/{cooperativeId}/turn-swaps', {
          params: { path: { cooperativeId }, query: { householdId } },
        }),
      ),
  });
