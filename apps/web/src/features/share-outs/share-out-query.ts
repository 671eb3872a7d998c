import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type ShareOut = Schemas['ShareOut'];
export type ShareOutPart = ShareOut['parts'][number];
export type Container = Schemas['Container'];

/** Who gets what of a round and why, what is free, and how even it has been over the rounds. */
export const shareOutQuery = (cooperativeId: string, roundId: string) =>
  queryOptions({
    queryKey: ['share-out', cooperativeId, roundId],
    meta: { topics: ['share-outs', 'rounds', 'kitchen', 'stock', 'swaps', 'households'] },
    queryFn: () =>
      ok<ShareOut>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}/share-out', {
          params: { path: { cooperativeId, roundId } },
        }),
      ),
  });

/** Where a dish stands in its round, which decides its pattern; undefined for a dish of another round. */
export function dishIndexOf(shareOut: Pick<ShareOut, 'dishes' | 'roundNumber'>, container: Container) {
  if (container.roundNumber !== shareOut.roundNumber) return undefined;
  const index = shareOut.dishes.findIndex(({ recipeId }) => recipeId === container.recipeId);
  return index < 0 ? undefined : index;
}

export const portionsOf = (containers: readonly Container[]): number =>
  containers.reduce((sum, { portions }) => sum + portions, 0);
