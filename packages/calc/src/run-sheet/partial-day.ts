import type { Kitchen, Way } from './kitchen.ts';

/** A step put into the day: when it starts and in which way it is done. */
export interface Placed {
  work: number;
  start: number;
  way: number;
}

/** A day filled up to the start of the step that was put in last; nothing that is put in later starts before that. */
export interface PartialDay {
  readonly time: number;
  readonly placed: readonly Placed[];
  /** when each step ended, or undefined while it is not in the day */
  readonly ends: readonly (number | undefined)[];
  /** for each resource when each one of it is free, in ascending order, not before `time` */
  readonly free: readonly (readonly number[])[];
  readonly length: number;
}

export const emptyDay = ({ counts, works }: Kitchen): PartialDay => ({
  time: 0,
  placed: [],
  ends: works.map(() => undefined),
  free: counts.map((count) => Array.from({ length: count }, () => 0)),
  length: 0,
});

/** When the steps before it have ended, or undefined while one of them is not in the day yet. */
function readyAt(kitchen: Kitchen, day: PartialDay, work: number): number | undefined {
  let ready = day.time;
  for (const earlier of kitchen.works[work]?.after ?? []) {
    const end = day.ends[earlier];
    if (end === undefined) return undefined;
    ready = Math.max(ready, end);
  }
  return ready;
}

/** The earliest start of a way of a step that is ready: what is held only ever becomes less from `time` on, so a start that fits keeps fitting. */
const startOf = (day: PartialDay, way: Way, ready: number): number =>
  way.uses.reduce((start, { resource, count }) => Math.max(start, day.free[resource]?.[count - 1] ?? start), ready);

/** The day with one more step. Those that have been free longest up to its start are taken; from then on all of them count as free since its start. */
export function withStep(kitchen: Kitchen, day: PartialDay, { work, start, way }: Placed): PartialDay {
  const { duration = 0, ways = [] } = kitchen.works[work] ?? {};
  const uses = ways[way]?.uses ?? [];
  const free = day.free.map((times, resource) => {
    const use = uses.find((each) => each.resource === resource);
    const taken = use?.count ?? 0;
    const rest = times.slice(taken).map((time) => Math.max(time, start));
    const again = Array.from({ length: taken }, () => start + (use?.minutes ?? 0));
    return [...rest, ...again].sort((a, b) => a - b);
  });
  return {
    time: start,
    placed: [...day.placed, { work, start, way }],
    ends: day.ends.map((end, index) => (index === work ? start + duration : end)),
    free,
    length: Math.max(day.length, start + duration),
  };
}

export interface Candidate extends Placed {
  end: number;
}

/**
 * The steps that may come next: those that start before any other could have been finished. One that starts later leaves a gap into which that other would fit
 * whole, so some best day is still found without it (the rule of Giffler and Thompson, Operations Research 8, 1960, for kitchens like this).
 */
export function candidates(kitchen: Kitchen, day: PartialDay): Candidate[] {
  const all: Candidate[] = [];
  let firstEnd = Infinity;
  kitchen.works.forEach(({ duration, ways }, work) => {
    if (day.ends[work] !== undefined) return;
    const ready = readyAt(kitchen, day, work);
    if (ready === undefined) return;
    ways.forEach((each, way) => {
      const start = startOf(day, each, ready);
      firstEnd = Math.min(firstEnd, start + duration);
      all.push({ work, way, start, end: start + duration });
    });
  });
  return all.filter(({ start }) => start < firstEnd);
}
