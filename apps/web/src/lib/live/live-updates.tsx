import type { Topic } from '@frostmoot/contract';
import { useQueryClient, type QueryClient } from '@tanstack/react-query';
import { useEffect } from 'react';
import { followLive, type LiveEvent } from './stream.ts';

declare module '@tanstack/react-query' {
  interface Register {
    queryMeta: {
      /** Kinds of things that this query shows; it is read again when the server tells that one of them changed. */
      topics?: readonly Topic[];
    };
  }
}

/** One act of the server tells of several topics, so what comes close together is answered by one reading. */
const GATHER_MS = 100;

/** Keeps every query that names a topic fresh for as long as a signed-in page is open. */
export function LiveUpdates({ cooperativeId }: { cooperativeId: string }) {
  const queryClient = useQueryClient();
  useEffect(() => {
    const gatherer = gather(queryClient);
    const leave = followLive(`/api/cooperatives/${cooperativeId}/events`, gatherer.hear);
    return () => {
      leave();
      gatherer.stop();
    };
  }, [cooperativeId, queryClient]);
  return null;
}

function gather(queryClient: QueryClient) {
  const changed = new Set<Topic | 'reconnected'>();
  let timer: ReturnType<typeof setTimeout> | undefined;
  const readAgain = () => {
    const told = new Set(changed);
    changed.clear();
    timer = undefined;
    void queryClient.invalidateQueries({
      predicate: ({ meta }) => {
        const topics = meta?.topics ?? [];
        return told.has('reconnected') ? topics.length > 0 : topics.some((topic) => told.has(topic));
      },
    });
  };
  return {
    hear: (event: LiveEvent | 'reconnected') => {
      changed.add(event === 'reconnected' ? event : event.topic);
      timer ??= setTimeout(readAgain, GATHER_MS);
    },
    stop: () => clearTimeout(timer),
  };
}
