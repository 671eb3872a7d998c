import type { Kitchen } from './kitchen.ts';
import type { Candidate, PartialDay } from './partial-day.ts';
import { candidates, emptyDay, withStep } from './partial-day.ts';
import { shortestPossible } from './shortest-possible.ts';

/** How many partial days are carried on side by side: fewer where there are more steps, so that it takes about as long. */
const widthFor = (steps: number): number => Math.min(40, Math.max(5, Math.floor(1200 / Math.max(1, steps))));

/** Minutes for which people, hobs, ovens and pots are bound: among equally promising days the one that has wasted less. */
const boundMinutes = ({ free }: PartialDay): number =>
  free.reduce((sum, times) => sum + times.reduce((all, time) => all + time, 0), 0);

/** The same steps in the same time are the same day so far, in whatever order they were put in. */
const keyOf = (day: PartialDay): string => `${day.ends.map((end) => end ?? '').join()} ${day.free.flat().join()}`;

/**
 * A good day where the shortest is out of reach: step by step the partial days that promise most are carried on, those that cannot become shorter than `best` left
 * out. Undefined when none is left. Ties go to what was found first in the order of `first`.
 */
export function beamSchedule(
  kitchen: Kitchen,
  order: readonly number[],
  first: (a: Candidate, b: Candidate) => number,
  best: number,
): PartialDay | undefined {
  const width = widthFor(kitchen.works.length);
  let beam = [emptyDay(kitchen)];
  for (let steps = 0; steps < kitchen.works.length; steps++) {
    const next = new Map<string, { day: PartialDay; bound: number; waste: number }>();
    for (const day of beam) {
      for (const candidate of candidates(kitchen, day).sort(first)) {
        const longer = withStep(kitchen, day, candidate);
        const bound = shortestPossible(kitchen, longer, order);
        const key = keyOf(longer);
        if (bound < best && !next.has(key)) next.set(key, { day: longer, bound, waste: boundMinutes(longer) });
      }
    }
    const promising = [...next.values()].sort((a, b) => a.bound - b.bound || a.waste - b.waste);
    beam = promising.slice(0, width).map(({ day }) => day);
  }
  return beam[0];
}
