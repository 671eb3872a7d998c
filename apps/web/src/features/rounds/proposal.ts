import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import type { WantedDish } from './dish-draft.ts';

export type Proposal = Schemas['DishProposal'];
type AskedDishes = Schemas['ProposeDishes'];
type Offer = Schemas['Offer'];

/** Asks for dishes and batches; nothing is changed by it. */
export function useProposal(roundId: string) {
  const cooperativeId = useCooperativeId();
  return useWrite<AskedDishes, Proposal>({
    write: (body) =>
      ok<Proposal>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/dish-proposals', {
          params: { path: { cooperativeId, roundId } },
          body,
        }),
      ),
  });
}

/** Packs in which an ingredient is sold, so that nobody types a pack that is known already. */
export const packsQuery = (cooperativeId: string, ingredientId: string) =>
  queryOptions({
    queryKey: ['buying', cooperativeId, 'offers', ingredientId],
    meta: { topics: ['buying', 'recipes'] },
    enabled: ingredientId !== '',
    queryFn: async () => {
      const params = { path: { cooperativeId }, query: { ingredientId } };
      return (await ok<{ items: Offer[] }>(api.GET('/api/cooperatives/{cooperativeId}/offers', { params }))).items;
    },
  });

/** The offers that hold on a day. */
export const offersOn = (offers: readonly Offer[], day: string): Offer[] =>
  offers.filter(({ validFrom, validTo }) => validFrom <= day && (validTo === null || validTo >= day));

/** The proposed dishes as the plan takes them; those that are there already keep their places. */
export function wantedOfProposal(before: readonly WantedDish[], { dishes }: Pick<Proposal, 'dishes'>): WantedDish[] {
  const batches = new Map(dishes.map((dish) => [dish.recipeId, dish.batches]));
  const kept = before.filter(({ recipeId }) => batches.has(recipeId)).map(({ recipeId }) => recipeId);
  const added = dishes.map(({ recipeId }) => recipeId).filter((recipeId) => !kept.includes(recipeId));
  return [...kept, ...added].map((recipeId) => ({ recipeId, batches: batches.get(recipeId) ?? 0 }));
}
