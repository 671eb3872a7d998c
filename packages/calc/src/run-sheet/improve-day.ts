import type { Kitchen } from './kitchen.ts';
import type { PartialDay, Placed } from './partial-day.ts';

/** One thing held from and until so many minutes after the start of a step. */
interface Hold {
  resource: number;
  count: number;
  from: number;
  until: number;
}

interface Task {
  duration: number;
  after: readonly number[];
  ways: readonly (readonly Hold[])[];
}

/** How many days are tried, times the number of steps. A count, so that the answer does not depend on the machine. */
const mostTries = 120_000;

const forwards = ({ works }: Kitchen): Task[] =>
  works.map(({ duration, after, ways }) => ({
    duration,
    after,
    ways: ways.map(({ uses }) =>
      uses.map(({ resource, count, minutes }) => ({ resource, count, from: 0, until: minutes })),
    ),
  }));

/** The same day seen from its end. */
const backwards = ({ works }: Kitchen): Task[] =>
  works.map(({ duration, before, ways }) => ({
    duration,
    after: before,
    ways: ways.map(({ uses }) =>
      uses.map(({ resource, count, minutes }) => ({ resource, count, from: duration - minutes, until: duration })),
    ),
  }));

/** What is held of each resource in each minute. */
class Minutes {
  private readonly held: Uint8Array[];
  private readonly counts: readonly number[];

  constructor(counts: readonly number[], horizon: number) {
    this.counts = counts;
    this.held = counts.map(() => new Uint8Array(horizon));
  }

  /** The first start from `ready` on at which all of it fits. */
  firstFit(holds: readonly Hold[], ready: number): number {
    let start = ready;
    for (let isMoved = true; isMoved;) {
      isMoved = false;
      for (const { resource, count, from, until } of holds) {
        const held = this.held[resource];
        const most = (this.counts[resource] ?? 0) - count;
        for (let minute = start + until - 1; minute >= start + from; minute--) {
          if ((held?.[minute] ?? 0) <= most) continue;
          start = minute + 1 - from;
          isMoved = true;
          break;
        }
      }
    }
    return start;
  }

  take(holds: readonly Hold[], start: number): void {
    for (const { resource, count, from, until } of holds) {
      const held = this.held[resource];
      if (!held) continue;
      for (let minute = start + from; minute < start + until; minute++) held[minute] = (held[minute] ?? 0) + count;
    }
  }
}

interface Day {
  starts: number[];
  ways: number[];
  length: number;
}

/** Puts each step at its first fit, always the one with the smallest key of those whose steps before are in the day. */
function dayBy(tasks: readonly Task[], counts: readonly number[], keys: readonly number[], horizon: number): Day {
  const minutes = new Minutes(counts, horizon);
  const order = tasks.map((_task, index) => index).sort((a, b) => (keys[a] ?? 0) - (keys[b] ?? 0) || a - b);
  const starts = tasks.map(() => -1);
  const ways = tasks.map(() => 0);
  let length = 0;
  const open = new Set(order);
  while (open.size > 0) {
    for (const index of open) {
      const task = tasks[index];
      if (!task || task.after.some((earlier) => (starts[earlier] ?? -1) < 0)) continue;
      const ready = Math.max(
        0,
        ...task.after.map((earlier) => (starts[earlier] ?? 0) + (tasks[earlier]?.duration ?? 0)),
      );
      let [best, way] = [Infinity, 0];
      task.ways.forEach((holds, each) => {
        const start = minutes.firstFit(holds, ready);
        if (start < best) [best, way] = [start, each];
      });
      minutes.take(task.ways[way] ?? [], best);
      starts[index] = best;
      ways[index] = way;
      length = Math.max(length, best + task.duration);
      open.delete(index);
      break;
    }
  }
  return { starts, ways, length };
}

/** A row of numbers that look like chance and are always the same (a linear congruence modulo 2^31, Knuth's way of 1981). */
function drawsFrom(seed: number): (below: number) => number {
  let state = BigInt(seed);
  return (below) => {
    state = (state * 1_103_515_245n + 12_345n) % 2_147_483_648n;
    return Number((state * BigInt(below)) / 2_147_483_648n);
  };
}

/**
 * Makes a day shorter: it is put together anew from its end and then again from its start, in the order of its ends and starts (double justification: Valls,
 * Ballestin and Quintanilla, European Journal of Operational Research 165, 2005; from memory), over and over with some steps moved in the order; a day that is no longer
 * takes the place of the one before. Ends at `atLeast` or after a count of tries.
 */
export function improvedDay(
  kitchen: Kitchen,
  placed: readonly Placed[],
  length: number,
  atLeast: number,
): { placed: Placed[]; length: number } {
  const { works, counts } = kitchen;
  const horizon = works.reduce((sum, { duration }) => sum + duration, 1) * 2;
  const [ahead, back] = [forwards(kitchen), backwards(kitchen)];
  const justified = (keys: readonly number[]): { keys: number[]; day: Day } => {
    const first = dayBy(ahead, counts, keys, horizon);
    const turned = dayBy(
      back,
      counts,
      first.starts.map((start, i) => -(start + (works[i]?.duration ?? 0))),
      horizon,
    );
    const again = turned.starts.map((start, i) => turned.length - start - (works[i]?.duration ?? 0));
    const last = dayBy(ahead, counts, again, horizon);
    const day = last.length <= first.length ? last : first;
    return { keys: day.starts, day };
  };
  const draw = drawsFrom(works.length);
  const begin = works.map(() => 0);
  for (const { work, start } of placed) begin[work] = start;
  let best = {
    keys: begin,
    day: { starts: begin, ways: works.map((_w, i) => placed.find(({ work }) => work === i)?.way ?? 0), length },
  };
  let here = best;
  const tries = Math.floor(mostTries / Math.max(1, works.length));
  for (let tried = 0; tried < tries && best.day.length > atLeast; tried++) {
    const keys = [...here.keys];
    for (let moved = 1 + draw(4); tried > 0 && moved > 0; moved--) {
      const at = draw(works.length);
      keys[at] = (keys[at] ?? 0) + draw(241) - 120;
    }
    const next = justified(keys);
    if (next.day.length <= here.day.length) here = next;
    if (here.day.length < best.day.length) best = here;
  }
  const { starts, ways } = best.day;
  return { placed: starts.map((start, work) => ({ work, start, way: ways[work] ?? 0 })), length: best.day.length };
}

/** The day with every step moved forward as far as those before it in order of their start leave room; nothing starts later than before. */
export function movedForward(kitchen: Kitchen, placed: readonly Placed[]): Pick<PartialDay, 'placed' | 'length'> {
  const { works, counts } = kitchen;
  const [starts, ways] = [works.map(() => 0), works.map(() => 0)];
  for (const { work, start, way } of placed) [starts[work], ways[work]] = [start, way];
  const asPlaced = forwards(kitchen).map((task, work) => ({ ...task, ways: [task.ways[ways[work] ?? 0] ?? []] }));
  const horizon = works.reduce((sum, { duration }) => sum + duration, 1) * 2;
  const day = dayBy(asPlaced, counts, starts, horizon);
  return { placed: day.starts.map((start, work) => ({ work, start, way: ways[work] ?? 0 })), length: day.length };
}
