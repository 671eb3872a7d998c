import type { CoolingResult } from '@frostmoot/calc';
import { judgedNow, minutesBetween } from './cooling-now.ts';
import type { Day } from './day-now.ts';
import type { RunSheet } from './run-sheet-query.ts';
import type { Batch } from './yield-draft.ts';

/** A core temperature to take: of a batch whose log goes on, or of one that has begun to cool and has no log yet. */
export interface Check {
  batch: Batch;
  judged: CoolingResult | null;
  /** by when the next reading is wanted; null: now */
  by: string | null;
  isDue: boolean;
}

/** Readings that are wanted, the soonest first. */
export function checksOf(
  batches: readonly Batch[],
  sheet: RunSheet | undefined,
  day: Day | null,
  now: string,
): Check[] {
  const cooling = new Set(
    day?.steps.flatMap(({ making, place, now: { state, end } }) =>
      place === 'cooling' && (state === 'on-its-own' || (state === 'done' && end > day.minute - 360)) ? [making] : [],
    ),
  );
  const makingOf = new Map(sheet?.makings.map(({ key, batchId }) => [batchId, key]));
  return batches
    .flatMap((batch): Check[] => {
      if (batch.state === 'thrown-away') return [];
      if (!batch.cooling) {
        const begins = batch.state === 'planned' && cooling.has(makingOf.get(batch.id) ?? '');
        return begins ? [{ batch, judged: null, by: null, isDue: true }] : [];
      }
      const judged = judgedNow(batch.cooling, now);
      if (judged.verdict !== 'due') return [];
      const { code, by } = judged.next;
      const isDue = code === 'cool-faster' || by === null || minutesBetween(now, by) < 1;
      return [{ batch, judged, by, isDue }];
    })
    .sort((a, b) => Number(b.isDue) - Number(a.isDue) || ((a.by ?? '') < (b.by ?? '') ? -1 : 1));
}
