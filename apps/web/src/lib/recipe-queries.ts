import { queryOptions } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';

export type RecipeSummary = Schemas['RecipeSummary'];
export type Ingredient = Schemas['Ingredient'];

/** All recipes; `search` is words of their names or ingredients. */
export const recipesQuery = (cooperativeId: string, search = '') =>
  queryOptions({
    queryKey: ['recipes', cooperativeId, 'list', search],
    meta: { topics: ['recipes'] },
    queryFn: async () => {
      const params = { path: { cooperativeId }, query: search === '' ? {} : { search } };
      return (await ok<{ items: RecipeSummary[] }>(api.GET('/api/cooperatives/{cooperativeId}/recipes', { params })))
        .items;
    },
  });

/** What recipes are made of. */
export const ingredientsQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['recipes', cooperativeId, 'ingredients'],
    meta: { topics: ['recipes'] },
    queryFn: async () => {
      const params = { path: { cooperativeId } };
      return (await ok<{ items: Ingredient[] }>(api.GET('/api/cooperatives/{cooperativeId}/ingredients', { params })))
        .items;
    },
  });
