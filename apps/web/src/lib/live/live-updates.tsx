import type { Topic } from '@frostmoot/contract';
import { useQueryClient } from '@tanstack/react-query';
import { useEffect } from 'react';
import { followLive } from './stream.ts';

declare module '@tanstack/react-query' {
  interface Register {
    queryMeta: {
      /** Kinds of things that this query shows; it is read again when the server tells that one of them changed. */
      topics?: readonly Topic[];
    };
  }
}

/** Keeps every query that names a topic fresh for as long as a signed-in page is open. */
export function LiveUpdates({ cooperativeId }: { cooperativeId: string }) {
  const queryClient = useQueryClient();
  useEffect(
    () =>
      followLive(`/api/cooperatives/${cooperativeId}/events`, (event) => {
        void queryClient.invalidateQueries({
          predicate: ({ meta }) => {
            const topics = meta?.topics ?? [];
            return event === 'reconnected' ? topics.length > 0 : topics.includes(event.topic);
          },
        });
      }),
    [cooperativeId, queryClient],
  );
  return null;
}
