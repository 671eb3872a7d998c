import { queryOptions } from '@tanstack/react-query';
import { api, ok } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';

export type Notices = Schemas['Notices'];
export type Notice = Schemas['Notice'];

/** What my household has been told. */
export const noticesQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['notices', cooperativeId],
    meta: { topics: ['notices'] },
    queryFn: () =>
      ok<Notices>(api.GET('/api/cooperatives/{cooperativeId}/notices', { params: { path: { cooperativeId } } })),
  });
