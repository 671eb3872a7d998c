import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useLimitWords } from '../../lib/limit-words.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import type { TurnSwap } from './rota-queries.ts';

type Answer = Schemas['AnswerTurnSwap']['answer'];
const DONE = {
  accept: 'rota.answered.accept',
  decline: 'rota.answered.decline',
  withdraw: 'rota.answered.withdraw',
} as const;

/** Accepts, declines or takes back a swap of turns; `broken` are the limits for which it cannot happen any more. */
export function useAnswerSwap(swap: TurnSwap) {
  const t = useT();
  const words = useLimitWords();
  const { cooperativeId } = useSession();
  const write = useWrite<Answer, TurnSwap>({
    write: (answer, headers) =>
      ok<TurnSwap>(
        api.POST('/api/cooperatives/{cooperativeId}/turn-swaps/{turnSwapId}/answer', {
          params: { path: { cooperativeId, turnSwapId: swap.id } },
          body: { answer },
          headers: { ...headers, ...ifMatch(swap.version) },
        }),
      ),
    topics: ['rota', 'accounts', 'rounds'],
    onSuccess: (_, answer) => say(t(DONE[answer])),
  });
  return { ...write, broken: write.problem?.errors.flatMap((fault) => words.ofFault(fault) ?? []) ?? [] };
}
