import { useCallback } from 'react';
import { useKitchenSender } from '../features/kitchen/run-sheet-query.ts';
import { useRecallSender } from '../features/recalls/recall-answers.ts';
import { ApiProblem } from '../lib/api/problem.ts';
import { useT } from '../lib/locale.tsx';
import { useProblemWords } from '../lib/problem-words.ts';
import { useSession } from '../lib/session.tsx';
import { dropWaiting, useSendWaiting, useWaiting, type Waiting } from '../lib/waiting.ts';
import { Button } from '../ui/button.tsx';
import { ProblemBox, ProblemPoint } from '../ui/problem-box.tsx';

/** Sends what waits on this device, whatever page is open when the connection comes back, and says there what the server would not take. */
export function WaitingSender() {
  const t = useT();
  const words = useProblemWords();
  const { me } = useSession();
  const kitchen = useKitchenSender();
  const recall = useRecallSender();
  const send = useCallback(
    (entry: Waiting) => (entry.kind === 'recall-answer' ? recall(entry) : kitchen(entry)),
    [kitchen, recall],
  );
  useSendWaiting(me.personId, send);
  const refused = useWaiting(me.personId).filter((entry) => entry.refused !== undefined);
  if (refused.length === 0) return null;
  return (
    <ProblemBox title={t('common.waiting.refused', { n: refused.length })} appeared>
      {refused.map((entry) => (
        <ProblemPoint
          key={entry.key}
          title={t(`common.waiting.kind.${entry.kind}`)}
          action={
            <Button tall onPress={() => dropWaiting(entry.key)}>
              {t('common.waiting.drop')}
            </Button>
          }
        >
          {words(new ApiProblem({ status: 409, code: entry.refused ?? '', detail: '' })).title}
        </ProblemPoint>
      ))}
    </ProblemBox>
  );
}
