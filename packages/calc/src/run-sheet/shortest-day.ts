import { beamSchedule } from './beam.ts';
import { energyBound } from './energy-bound.ts';
import { improvedDay } from './improve-day.ts';
import type { Kitchen } from './kitchen.ts';
import { byTail, listSchedule } from './list-schedule.ts';
import type { PartialDay } from './partial-day.ts';
import { candidates, emptyDay, withStep } from './partial-day.ts';
import { orderOf, shortestPossible } from './shortest-possible.ts';
import { strideOf } from './stride.ts';

/**
 * How many partial days are looked at before the best so far is taken, times the number of steps, which is what looking at one costs: about a second. A count, so that
 * the answer does not depend on the machine. Of long days all orders cannot be looked at, so less is spent on trying.
 */
const looksFor = (steps: number): number => (steps > 24 ? 300_000 : 1_500_000);

export interface ShortestDay {
  day: Pick<PartialDay, 'placed' | 'length'>;
  /** no day is shorter than this */
  atLeast: number;
}

/**
 * What a partial day leaves to the steps not in it: how long it is already, when each of them can start as far as is known, and when each resource is free.
 * Smaller is better throughout.
 */
function stateOf({ works }: Kitchen, day: PartialDay): number[] {
  const ready = works.map(({ after }, index) =>
    day.ends[index] === undefined ? Math.max(day.time, ...after.map((earlier) => day.ends[earlier] ?? 0)) : 0,
  );
  return [day.length, day.time, ...ready, ...day.free.flat()];
}

const isNoWorse = (a: readonly number[], b: readonly number[]): boolean => a.every((value, i) => value <= (b[i] ?? 0));

/** Partial days that were looked at, by the steps in them: a day with the same steps that is nowhere better need not be looked at again. */
class SeenDays {
  private readonly states = new Map<string, number[][]>();

  /** Whether one as good was seen before; if not, this one is kept. */
  knows(kitchen: Kitchen, day: PartialDay): boolean {
    const key = day.ends.map((end) => (end === undefined ? '0' : '1')).join('');
    const state = stateOf(kitchen, day);
    const known = this.states.get(key) ?? [];
    if (known.some((other) => isNoWorse(other, state))) return true;
    this.states.set(key, [...known.filter((other) => !isNoWorse(state, other)), state]);
    return false;
  }
}

/**
 * The shortest day: branch and bound over the steps in order of their start. Every day in which no step can be moved forward by itself is reached; left out are
 * those that begin like one seen before and are nowhere better (the cutset rule of Demeulemeester and Herroelen, Management Science 38, 1992), and
 * those that cannot become shorter than the best so far. Once it has looked long enough it ends with the best so far and what no day can be shorter than.
 */
export function shortestDay(kitchen: Kitchen): ShortestDay {
  const order = orderOf(kitchen);
  const first = byTail(kitchen);
  const seen = new SeenDays();
  const start = emptyDay(kitchen);
  let best: ShortestDay['day'] = listSchedule(kitchen);
  const stride = strideOf(kitchen);
  const bound = energyBound(kitchen, shortestPossible(kitchen, start, order), best.length);
  const atLeast = Math.ceil(bound / stride) * stride;
  if (best.length > atLeast) best = beamSchedule(kitchen, order, first, best.length) ?? best;
  // Of a short day branch and bound looks at every order sooner than this has tried a few.
  if (best.length > atLeast && kitchen.works.length > 20)
    best = improvedDay(kitchen, best.placed, best.length, atLeast);
  const mostDays = Math.floor(looksFor(kitchen.works.length) / Math.max(1, kitchen.works.length));
  let looked = 0;
  const look = (day: PartialDay): void => {
    if (best.length === atLeast || looked > mostDays) return;
    looked += 1;
    if (day.placed.length === kitchen.works.length) {
      best = day.length < best.length ? day : best;
      return;
    }
    if (shortestPossible(kitchen, day, order) >= best.length || seen.knows(kitchen, day)) return;
    for (const next of candidates(kitchen, day).sort(first)) look(withStep(kitchen, day, next));
  };
  look(start);
  return { day: best, atLeast: looked > mostDays ? atLeast : best.length };
}
