import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Recall = Schemas['Recall'];
export type RecalledContainer = Recall['mine'][number];
export type Report = NonNullable<Recall['report']>;
export type RecalledHousehold = Report['households'][number];
export type Fate = RecalledContainer['fate'];
export type Sources = Schemas['RecallSources'];
export type Source = Recall['source'];

export const recallQuery = (cooperativeId: string, recallId: string) =>
  queryOptions({
    queryKey: ['recall', cooperativeId, recallId],
    meta: { topics: ['recalls', 'notices'] },
    queryFn: () =>
      ok<Recall>(
        api.GET('/api/cooperatives/{cooperativeId}/recalls/{recallId}', {
          params: { path: { cooperativeId, recallId } },
        }),
      ),
  });

export const sourcesQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['recall-sources', cooperativeId],
    meta: { topics: ['recalls', 'buying', 'kitchen'] },
    queryFn: () =>
      ok<Sources>(api.GET('/api/cooperatives/{cooperativeId}/recall-sources', { params: { path: { cooperativeId } } })),
  });

export const traceQuery = (cooperativeId: string, source: Source, sourceId: string) =>
  queryOptions({
    queryKey: ['recall-trace', cooperativeId, source, sourceId],
    meta: { topics: ['stock', 'kitchen'] },
    queryFn: () =>
      ok<Schemas['RecallTrace']>(
        api.GET('/api/cooperatives/{cooperativeId}/recall-trace', {
          params: { path: { cooperativeId }, query: { source, sourceId } },
        }),
      ),
  });
