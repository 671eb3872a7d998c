import { useKeptState } from '../../lib/kept-state.ts';
import type { useRunSheet } from './run-sheet-query.ts';
import type { Batch } from './yield-draft.ts';

/**
 * How far a batch is in its recipe: as the cook day knows it, so that the run sheet and the batch say the same; on this device alone where there is no cook day or the
 * round is not at cooking.
 */
export function useBatchSteps(
  batch: Batch,
  { query, sheet, enter }: ReturnType<typeof useRunSheet>,
  isCooking: boolean,
) {
  const count = batch.steps.length;
  const [kept, setKept] = useKeptState<number>(`steps.${batch.id}`, () => (batch.state === 'planned' ? 0 : count));
  const making = isCooking ? sheet?.makings.find(({ batchId }) => batchId === batch.id) : undefined;
  const done = new Set(sheet?.done.map(({ key }) => key));
  const keyOf = (index: number): string => `${making?.key ?? ''}.${index}`;
  const firstOpen = batch.steps.findIndex((_step, index) => !done.has(keyOf(index)));
  const known = firstOpen < 0 || batch.state !== 'planned' ? count : firstOpen;
  const goTo = (step: number): void => {
    if (!making) {
      setKept(() => step);
      return;
    }
    batch.steps.forEach((_each, index) => {
      const isDone = done.has(keyOf(index));
      if (index < step && !isDone) enter(keyOf(index), 'done');
      if (index >= step && isDone) enter(keyOf(index), 'taken-back');
    });
  };
  const stepsDone = Math.min(making || batch.state !== 'planned' ? known : kept, count);
  // A step done before the cook day is known would count on this device alone, and be undone by it.
  return { stepsDone, goTo, isUnknown: isCooking && query.isLoading };
}
