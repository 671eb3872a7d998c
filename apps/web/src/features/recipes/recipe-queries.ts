import { keepPreviousData, queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

/** A recipe with its newest version as `current`, or with the version of that number. */
export const recipeQuery = (cooperativeId: string, recipeId: string, version?: number) =>
  queryOptions({
    queryKey: ['recipes', cooperativeId, recipeId, version ?? 'newest'],
    meta: { topics: ['recipes'] },
    queryFn: () =>
      ok<Schemas['Recipe']>(
        api.GET('/api/cooperatives/{cooperativeId}/recipes/{recipeId}', {
          params: { path: { cooperativeId, recipeId }, query: version === undefined ? {} : { version } },
        }),
      ),
  });

/** The lines of a version at another number of portions; the last answer stays in sight while the next one comes. */
export const scaledQuery = (cooperativeId: string, recipeId: string, portions: number, version?: number) =>
  queryOptions({
    queryKey: ['recipes', cooperativeId, recipeId, version ?? 'newest', 'scaled', portions],
    meta: { topics: ['recipes'] },
    placeholderData: keepPreviousData,
    queryFn: () =>
      ok<Schemas['ScaledRecipe']>(
        api.GET('/api/cooperatives/{cooperativeId}/recipes/{recipeId}/scaled', {
          params: {
            path: { cooperativeId, recipeId },
            query: { portions: String(portions), ...(version === undefined ? {} : { version }) },
          },
        }),
      ),
  });
