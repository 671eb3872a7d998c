import { useQueryClient } from '@tanstack/react-query';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import { collectionQuery, type CollectedContainer, type Collection, type Part } from './collection-query.ts';

export interface Tick {
  container: Pick<CollectedContainer, 'id' | 'code'>;
  to: Part['household'];
}
const TOPICS = ['stock', 'share-outs'] as const;

/** What every act of a collection does with the answer: it is the page's new state. */
function useAnswer(roundId: string) {
  const queryClient = useQueryClient();
  const cooperativeId = useCooperativeId();
  return (answer: Collection) => queryClient.setQueryData(collectionQuery(cooperativeId, roundId).queryKey, answer);
}

/** Ticking at the door, and taking a tick back. */
export function useDoor(roundId: string) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const answer = useAnswer(roundId);
  const pathOf = (containerId: string) => ({ path: { cooperativeId, containerId } });
  const undo = useWrite<Tick['container'], Collection>({
    write: ({ id }, headers) =>
      ok<Collection>(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/hand-over/undo', {
          params: pathOf(id),
          headers,
        }),
      ),
    topics: TOPICS,
    onSuccess: (after, { code }) => {
      answer(after);
      say(t('collection.takenBack', { code }));
    },
  });
  const tick = useWrite<Tick, Collection>({
    write: ({ container, to }, headers) =>
      ok<Collection>(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/hand-over', {
          params: pathOf(container.id),
          body: { toHouseholdId: to.id },
          headers,
        }),
      ),
    topics: TOPICS,
    onSuccess: (after, { container, to }) => {
      answer(after);
      say(t('collection.handedOver', { code: container.code, to: to.name }), () => undo.mutate(container));
    },
  });
  return { tick, undo };
}
export type Door = ReturnType<typeof useDoor>;

/** When a household comes and whom it sends. */
export function useChoose(roundId: string) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const answer = useAnswer(roundId);
  return useWrite<Schemas['ChooseCollection'], Collection>({
    write: (body, headers) =>
      ok<Collection>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/collection/choices', {
          params: { path: { cooperativeId, roundId } },
          body,
          headers,
        }),
      ),
    topics: TOPICS,
    onSuccess: (after) => {
      answer(after);
      say(t('collection.chosen'));
    },
  });
}

/** The coordinator's part: place and times, and what was not collected. */
export function useSaveCollection({ roundId, version }: Collection, onDone: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const answer = useAnswer(roundId);
  const params = { path: { cooperativeId, roundId } };
  return useWrite<Schemas['SaveCollection'], Collection>({
    write: (body, headers) =>
      version === null
        ? ok<Collection>(
            api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/collection', { params, body, headers }),
          )
        : ok<Collection>(
            api.PUT('/api/cooperatives/{cooperativeId}/rounds/{roundId}/collection', {
              params,
              body,
              headers: { ...headers, ...ifMatch(version) },
            }),
          ),
    topics: TOPICS,
    onSuccess: (after) => {
      answer(after);
      onDone();
      say(t('collection.saved'));
    },
  });
}

export function useRelease(roundId: string) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const answer = useAnswer(roundId);
  return useWrite<Part['household'], Collection>({
    write: ({ id }, headers) =>
      ok<Collection>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/collection/releases', {
          params: { path: { cooperativeId, roundId } },
          body: { householdId: id },
          headers,
        }),
      ),
    topics: ['stock', 'share-outs', 'accounts'],
    onSuccess: (after, { name }) => {
      answer(after);
      say(t('collection.released', { household: name }));
    },
  });
}
