import { isProblem } from '../../lib/api/client.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { ExcludedFood } from '../../ui/excluded-food.tsx';
import { alike, mySide } from './my-side.ts';
import type { Answers } from './use-answer.ts';

/** The step between accepting and getting something that a diner must not eat. */
export function SwapWarning({ answers: { write, warned, answer, dropWarning } }: { answers: Answers }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const get = warned ? mySide(warned.swap, householdId).get : [];
  return (
    <ExcludedFood
      isOpen={warned !== null}
      what={formats.list(alike(get).map(({ dish }) => dish))}
      subjects={warned?.subjects ?? ''}
      confirm={t('swaps.acceptAllTheSame')}
      isPending={write.isPending}
      error={isProblem(write.error, 'excluded-food') ? undefined : write.error}
      onConfirm={(confirmWords) => warned && answer({ swap: warned.swap, answer: 'accept', confirmWords })}
      onClose={dropWarning}
    />
  );
}
