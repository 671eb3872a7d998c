import { useQueryClient } from '@tanstack/react-query';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { buyingQuery } from '../../lib/buying-query.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import type { Buying, Purchase } from './shopping.ts';

const withLine = (buying: Buying, changed: Purchase): Buying => ({
  ...buying,
  lists: buying.lists.map((list) => ({
    ...list,
    lines: list.lines.map((line) => (line.id === changed.id ? changed : line)),
  })),
});

interface Ticked {
  line: Purchase;
  bought: boolean;
}

/** Ticks a line as bought, or takes that back; shown at once, put right by the answer, with undo. */
export function useTick(roundId: string) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  const { queryKey } = buyingQuery(cooperativeId, roundId);
  const show = (line: Purchase): void => {
    queryClient.setQueryData<Buying>(queryKey, (old) => old && withLine(old, line));
  };

  const send = useWrite<Ticked, Purchase>({
    write: async ({ line, bought }, headers) => {
      show({ ...line, bought });
      try {
        return await ok<Purchase>(
          api.PATCH('/api/cooperatives/{cooperativeId}/purchases/{purchaseId}', {
            params: { path: { cooperativeId, purchaseId: line.id ?? '' } },
            body: { bought },
            headers: { ...headers, ...ifMatch(line.version ?? 0) },
          }),
        );
      } catch (error) {
        show(line);
        // Somebody else may have ticked it meanwhile: what is true now is read again.
        void queryClient.invalidateQueries({ queryKey });
        throw error;
      }
    },
    onSuccess: show,
  });

  const tick = (line: Purchase, bought: boolean) =>
    send.mutate(
      { line, bought },
      {
        onSuccess: (changed) => {
          const words = t(bought ? 'buying.ticked' : 'buying.unticked', { label: line.label });
          say(words, () => send.mutate({ line: changed, bought: !bought }));
        },
      },
    );
  return { tick, error: send.error, isPending: send.isPending, reset: send.reset };
}
export type Ticker = ReturnType<typeof useTick>;
