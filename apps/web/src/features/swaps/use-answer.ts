import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ifMatch, isProblem, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { say } from '../../ui/toast.tsx';
import { mySide } from './my-side.ts';
import { swapsQuery, type Swap } from './swap-query.ts';

export type Answer = 'accept' | 'decline' | 'withdraw';
export interface AnswerRequest {
  swap: Swap;
  answer: Answer;
  confirmWords: string | null;
}

/** My household's answer to swaps, with the step that asks about what a diner must not eat. */
export function useAnswer() {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const queryClient = useQueryClient();
  const [warned, setWarned] = useState<{ swap: Swap; subjects: string } | null>(null);
  const write = useWrite<AnswerRequest, Swap>({
    write: ({ swap, answer, confirmWords }, headers) =>
      ok<Swap>(
        api.POST('/api/cooperatives/{cooperativeId}/swaps/{swapId}/answer', {
          params: { path: { cooperativeId, swapId: swap.id } },
          body: { answer, confirmWords },
          headers: { ...headers, ...ifMatch(swap.version) },
        }),
      ),
    topics: ['swaps', 'stock', 'share-outs', 'accounts', 'rounds'],
    onSuccess: (_, { swap, answer }) => {
      say(t(`swaps.said.${answer}`, { other: mySide(swap, householdId).other.name }));
      focusLater('h1');
    },
  });
  const answer = (request: AnswerRequest) => {
    write.mutate(request, {
      onSuccess: () => setWarned(null),
      onError: (error) => {
        if (isProblem(error, 'excluded-food'))
          setWarned({ swap: request.swap, subjects: String(error.params.subjects ?? '') });
        else if (!isProblem(error, 'unreachable')) setWarned(null);
        // A refusal often means that the swap is closed by now.
        void queryClient.invalidateQueries({ queryKey: swapsQuery(cooperativeId, householdId).queryKey });
      },
    });
  };
  const dropWarning = () => {
    setWarned(null);
    write.reset();
  };
  return { write, answer, warned, dropWarning };
}
export type Answers = ReturnType<typeof useAnswer>;
