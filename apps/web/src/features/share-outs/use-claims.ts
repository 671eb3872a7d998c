import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import { shareOutQuery, type Container, type ShareOut } from './share-out-query.ts';

const TOPICS = ['share-outs', 'stock', 'accounts', 'rounds', 'swaps'] as const;

export interface ClaimRequest {
  container: Container;
  /** Any free one of its dish and size, instead of this very one. */
  any: boolean;
  /** What somebody wrote after the warning about what a diner must not eat. */
  confirmWords: string | null;
}

/** Claiming, releasing and claiming all for my household; claim and release take each other back. */
export function useClaims(roundId: string) {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const queryClient = useQueryClient();
  const [warned, setWarned] = useState<
    (Pick<ClaimRequest, 'container' | 'any'> & { subjects: string; ingredients: string }) | null
  >(null);
  const known = (): Container[] => {
    const shareOut = queryClient.getQueryData<ShareOut>(shareOutQuery(cooperativeId, roundId).queryKey);
    return [...(shareOut?.pool ?? []), ...(shareOut?.parts.flatMap(({ containers }) => containers) ?? [])];
  };
  const claim = useWrite<ClaimRequest, Container>({
    write: async ({ container, any, confirmWords }, headers) => {
      const { recipeId, portions, roundId: ofRound } = container;
      // As it stood before the claim: read again afterwards, the list has it under its new holder, or no more at all.
      const before = known();
      const given = any
        ? await ok<Schemas['ClaimResult']>(
            api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/dish-claims', {
              params: { path: { cooperativeId, roundId: ofRound } },
              body: { householdId, recipeId, portions, confirmWords },
              headers,
            }),
          )
        : await ok<Schemas['ClaimResult']>(
            api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/claim', {
              params: { path: { cooperativeId, containerId: container.id } },
              body: { householdId, confirmWords },
              headers,
            }),
          );
      const { id } = given.container;
      return [container, ...before].find((each) => each.id === id) ?? { ...container, id };
    },
    topics: TOPICS,
    onSuccess: (container) => {
      // What was set aside for us already would land in the pool, open to all, if claiming it were taken back.
      const undo = container.holder === null ? () => release.mutate(container) : undefined;
      say(t('shareOut.said.claimedCode', { dish: container.dish, code: container.code }), undo);
    },
  });
  const release = useWrite<Container, Schemas['ClaimResult']>({
    write: (container, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/containers/{containerId}/release', {
          params: { path: { cooperativeId, containerId: container.id } },
          body: { householdId },
          headers,
        }),
      ),
    topics: TOPICS,
    onSuccess: (_, container) =>
      say(t('shareOut.said.released', { dish: container.dish }), () =>
        ask({ container, any: false, confirmWords: null }),
      ),
  });
  const claimAll = useWrite<number, ShareOut>({
    write: (_, headers) =>
      ok<ShareOut>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/claims', {
          params: { path: { cooperativeId, roundId } },
          body: { householdId },
          headers,
        }),
      ),
    topics: TOPICS,
    onSuccess: (shareOut, held) => {
      const left = heldBy(shareOut, householdId).length;
      say(t(left === 0 ? 'shareOut.said.allClaimed' : 'shareOut.said.someClaimed', { n: held - left, left }));
    },
  });
  const ask = (request: ClaimRequest) => {
    claim.mutate(request, {
      onSuccess: () => setWarned(null),
      onError: (error) => {
        // Without an answer the words that were written stay in their step; any other refusal has its own place.
        // Before the share-out no words help, so that it is told like any other refusal.
        if (isProblem(error, 'excluded-food') && error.params.final !== 1)
          setWarned({
            container: request.container,
            any: request.any,
            subjects: String(error.params.subjects ?? ''),
            ingredients: String(error.params.ingredients ?? ''),
          });
        else if (!isProblem(error, 'unreachable')) setWarned(null);
        // A refusal often means that the list is old, so it is read again.
        void queryClient.invalidateQueries({ queryKey: shareOutQuery(cooperativeId, roundId).queryKey });
      },
    });
  };
  const dropWarning = () => {
    setWarned(null);
    claim.reset();
  };
  return { claim, release, claimAll, ask, warned, dropWarning };
}
export type Claims = ReturnType<typeof useClaims>;

/** Containers that the share-out has set aside for a household and that it has not answered yet. */
export function heldBy(shareOut: ShareOut, householdId: string): Container[] {
  const own = shareOut.parts.find(({ household }) => household.id === householdId);
  return (own?.containers ?? []).filter(({ claim, state }) => claim === 'held' && state === 'sealed');
}
