import type { Placed } from './partial-day.ts';
import type { Kitchen } from './kitchen.ts';

/** Which ones of each resource a step takes, by their numbers from 1; the pot as the number in its size. */
export interface Taken {
  people: number[];
  hobs: number[];
  ovens: number[];
  pot?: number;
}

/**
 * Says who does what and on which hob, in which oven and pot: in order of time each step takes the lowest numbers that are free. There are enough, because the day
 * never uses more at once than there are and things of one resource are alike.
 */
export function handOut(kitchen: Kitchen, placed: readonly Placed[]): Map<number, Taken> {
  const busyUntil = kitchen.counts.map((count) => Array.from({ length: count }, () => 0));
  const taken = new Map<number, Taken>();
  for (const { work, start, way } of [...placed].sort((a, b) => a.start - b.start || a.work - b.work)) {
    const chosen = kitchen.works[work]?.ways[way];
    const take = (resource: number): number[] => {
      const use = chosen?.uses.find((each) => each.resource === resource);
      if (!use) return [];
      const times = busyUntil[resource] ?? [];
      const free = times.flatMap((until, number) => (until <= start ? [number] : [])).slice(0, use.count);
      for (const number of free) times[number] = start + use.minutes;
      return free.map((number) => number + 1);
    };
    const pot = chosen?.pot === undefined ? undefined : take(chosen.pot)[0];
    taken.set(work, { people: take(0), hobs: take(1), ovens: take(2), ...(pot === undefined ? {} : { pot }) });
  }
  return taken;
}
