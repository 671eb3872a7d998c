import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import type { CollectedContainer } from './collection-query.ts';

type Container = Schemas['Container'];
export type LossCode = 'damaged' | 'thawed' | 'not-found' | 'other';
const TOPICS = ['stock', 'share-outs', 'accounts'] as const;

/** Writes a container off against the common account; undone, its loss is reversed. */
export function useWriteOff(onDone: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const restore = useWrite<Container, Container>({
    write: ({ id, version }, headers) =>
      ok<Container>(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/restore', {
          params: { path: { cooperativeId, containerId: id } },
          headers: { ...headers, ...ifMatch(version) },
        }),
      ),
    topics: TOPICS,
    onSuccess: ({ code }) => say(t('collection.broken.undone', { code })),
  });
  return useWrite<{ container: CollectedContainer; reasonCode: LossCode; reason: string }, Container>({
    write: ({ container, reasonCode, reason }, headers) =>
      ok<Container>(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/end', {
          params: { path: { cooperativeId, containerId: container.id } },
          body: { state: 'lost', reasonCode, reason, against: 'common' },
          headers: { ...headers, ...ifMatch(container.version) },
        }),
      ),
    topics: TOPICS,
    onSuccess: (ended) => {
      onDone();
      say(t('collection.broken.done', { code: ended.code }), () => restore.mutate(ended));
    },
  });
}
