import type { Group, Kitchen } from './kitchen.ts';
import type { PartialDay } from './partial-day.ts';

/** Steps' earliest starts as far as the steps before them tell; resources are not looked at. */
function earliestStarts(kitchen: Kitchen, day: PartialDay, order: readonly number[]): number[] {
  const starts = kitchen.works.map(() => day.time);
  for (const index of order) {
    if (day.ends[index] !== undefined) continue;
    for (const earlier of kitchen.works[index]?.after ?? []) {
      const end = day.ends[earlier] ?? (starts[earlier] ?? 0) + (kitchen.works[earlier]?.duration ?? 0);
      starts[index] = Math.max(starts[index] ?? 0, end);
    }
  }
  return starts;
}

/** Steps in an order in which each stands after those that it waits for: by the length of what follows, longest first. */
export const orderOf = ({ works }: Kitchen): number[] =>
  works.map((_work, index) => index).sort((a, b) => (works[b]?.tail ?? 0) - (works[a]?.tail ?? 0) || a - b);

/**
 * When the steps left can be done at the earliest as far as one group of resources goes: each one of the group works on them from when it is free, none before
 * the first of them can start, and after the last of them comes at least the shortest of what follows.
 */
function groupBound(group: Group, kitchen: Kitchen, day: PartialDay, starts: readonly number[]): number {
  let load = 0;
  let head = Infinity;
  let tail = Infinity;
  for (const { work, count, minutes } of group.demands) {
    if (day.ends[work] !== undefined) continue;
    load += count * minutes;
    head = Math.min(head, starts[work] ?? 0);
    tail = Math.min(tail, (kitchen.works[work]?.tail ?? 0) - minutes);
  }
  if (load === 0) return 0;
  const free = group.resources.flatMap((resource) => day.free[resource] ?? []).map((time) => Math.max(time, head));
  let level = Infinity;
  let total = load;
  free
    .sort((a, b) => a - b)
    .forEach((time, index) => {
      total += time;
      level = Math.min(level, Math.ceil(total / (index + 1)));
    });
  return level + tail;
}

/** A length that no completion of the day can be shorter than: chains of steps that wait for one another, and the load of every group of resources. */
export function shortestPossible(kitchen: Kitchen, day: PartialDay, order: readonly number[]): number {
  const starts = earliestStarts(kitchen, day, order);
  let bound = day.length;
  kitchen.works.forEach(({ tail }, index) => {
    if (day.ends[index] === undefined) bound = Math.max(bound, (starts[index] ?? 0) + tail);
  });
  for (const group of kitchen.groups) bound = Math.max(bound, groupBound(group, kitchen, day, starts));
  return bound;
}
