import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import type { Container } from './freezer-query.ts';

const TOPICS = ['stock', 'swaps', 'share-outs'] as const;

export type EndRequest = Pick<Schemas['EndContainer'], 'state' | 'reason' | 'reasonCode'> & { container: Container };

/** What is done with one's containers; what was ended by mistake is taken back, what was moved is moved back. */
export function useStock() {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const pathOf = (container: Container) => ({ path: { cooperativeId, containerId: container.id } });
  const end = useWrite<EndRequest, Container>({
    write: ({ container, state, reason, reasonCode }, headers) =>
      ok<Container>(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/end', {
          params: pathOf(container),
          body: { state, reason, reasonCode, against: 'holder' },
          headers: { ...headers, ...ifMatch(container.version) },
        }),
      ),
    topics: TOPICS,
    onSuccess: (ended, { container, state }) =>
      say(t(`freezer.said.${state}`, { dish: container.dish }), () => restore.mutate(ended)),
  });
  const restore = useWrite<Container, Container>({
    write: (container, headers) =>
      ok<Container>(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/restore', {
          params: pathOf(container),
          headers: { ...headers, ...ifMatch(container.version) },
        }),
      ),
    topics: TOPICS,
    onSuccess: ({ dish }) => say(t('freezer.said.restored', { dish })),
  });
  const move = useWrite<{ container: Container; place: string }, Container>({
    write: ({ container, place }, headers) =>
      ok<Container>(
        api.PATCH('/api/cooperatives/{cooperativeId}/containers/{containerId}', {
          params: pathOf(container),
          body: { place },
          headers: { ...headers, ...ifMatch(container.version) },
        }),
      ),
    topics: TOPICS,
    onSuccess: (moved, { container, place }) =>
      say(t(place === '' ? 'freezer.said.noPlace' : 'freezer.said.moved', { dish: moved.dish, place }), () =>
        move.mutate({ container: moved, place: container.place }),
      ),
  });
  return { end, restore, move };
}
export type Stock = ReturnType<typeof useStock>;
