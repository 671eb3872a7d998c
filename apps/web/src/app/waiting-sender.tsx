import { useCallback } from 'react';
import { useKitchenSender } from '../features/kitchen/run-sheet-query.ts';
import { useRecallSender } from '../features/recalls/recall-answers.ts';
import { useSession } from '../lib/session.tsx';
import { useSendWaiting, type Waiting } from '../lib/waiting.ts';

/** Sends what waits on this device, whatever page is open when the connection comes back. */
export function WaitingSender() {
  const { me } = useSession();
  const kitchen = useKitchenSender();
  const recall = useRecallSender();
  const send = useCallback(
    (entry: Waiting) => (entry.kind === 'recall-answer' ? recall(entry) : kitchen(entry)),
    [kitchen, recall],
  );
  useSendWaiting(me.personId, send);
  return null;
}
