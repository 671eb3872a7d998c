import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Seller = Schemas['Seller'];
export type Offer = Schemas['Offer'];

export const sellersQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['buying', cooperativeId, 'sellers'],
    meta: { topics: ['buying'] },
    queryFn: async () => {
      const params = { path: { cooperativeId } };
      return (await ok<{ items: Seller[] }>(api.GET('/api/cooperatives/{cooperativeId}/sellers', { params }))).items;
    },
  });

/** Prices of the sellers; `ingredientId` narrows them to one ingredient. */
export const offersQuery = (cooperativeId: string, ingredientId?: string) =>
  queryOptions({
    queryKey: ['buying', cooperativeId, 'offers', ingredientId ?? ''],
    meta: { topics: ['buying', 'recipes'] },
    queryFn: async () => {
      const params = { path: { cooperativeId }, query: ingredientId ? { ingredientId } : {} };
      return (await ok<{ items: Offer[] }>(api.GET('/api/cooperatives/{cooperativeId}/offers', { params }))).items;
    },
  });
