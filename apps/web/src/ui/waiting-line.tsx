import { useProblemWords } from '../lib/problem-words.ts';
import { useT } from '../lib/locale.tsx';
import { dropWaiting, type Waiting } from '../lib/waiting.ts';
import { Button } from './button.tsx';
import { ProblemBox, ProblemPoint } from './problem-box.tsx';
import { ApiProblem } from '../lib/api/problem.ts';

/** What waits on this device for a connection, and what the server would not take. */
export function WaitingLine({ waiting }: { waiting: readonly Waiting[] }) {
  const t = useT();
  const words = useProblemWords();
  const open = waiting.filter(({ refused }) => refused === undefined).length;
  const refused = waiting.filter((entry) => entry.refused !== undefined);
  return (
    <>
      <div role="status">{open > 0 && <p className="banner">{t('common.waiting.saved', { n: open })}</p>}</div>
      {refused.length > 0 && (
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
      )}
    </>
  );
}
