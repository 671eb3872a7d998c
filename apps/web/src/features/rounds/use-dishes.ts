import { useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef, useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Round } from '../../lib/round-stage.ts';
import { roundQuery } from '../../lib/rounds.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { wantedOf, type WantedDish } from './dish-draft.ts';

/**
 * The dishes of a round, changed at once on the screen and saved behind it: one save at a time, and what was pressed meanwhile goes with the
 * next. A refused save keeps what was wanted until somebody decides.
 */
export function useDishes(round: Round) {
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  const { queryKey } = roundQuery(cooperativeId, round.id);
  const [draft, setDraft] = useState<readonly WantedDish[] | null>(null);
  const savedVersion = useRef(0);
  const save = useWrite<readonly WantedDish[], Round>({
    write: (dishes, headers) =>
      ok<Round>(
        api.PUT('/api/cooperatives/{cooperativeId}/rounds/{roundId}/dishes', {
          params: { path: { cooperativeId, roundId: round.id } },
          body: { dishes: [...dishes] },
          headers: { ...headers, ...ifMatch(Math.max(round.version, savedVersion.current)) },
        }),
      ),
    onSuccess: async (saved, sent) => {
      savedVersion.current = saved.version;
      // An answer that was on its way since before the save would bring back what it was.
      await queryClient.cancelQueries({ queryKey });
      queryClient.setQueryData(queryKey, saved);
      setDraft((current) => (current === sent ? null : current));
    },
  });
  const { mutate, isPending, isError } = save;
  useEffect(() => {
    if (draft && !isPending && !isError) mutate(draft);
  }, [draft, isPending, isError, mutate]);

  return {
    dishes: draft ?? wantedOf(round),
    change: (next: readonly WantedDish[]) => setDraft(next),
    isSaving: draft !== null && !isError,
    error: save.error,
    problem: save.problem,
    /** Sends what is wanted again, over what somebody else has saved meanwhile. */
    sendAgain: async () => {
      await queryClient.refetchQueries({ queryKey });
      save.reset();
    },
    /** Lets go of what was wanted and shows what is saved. */
    giveUp: async () => {
      setDraft(null);
      save.reset();
      await queryClient.refetchQueries({ queryKey });
    },
  };
}
export type Dishes = ReturnType<typeof useDishes>;
