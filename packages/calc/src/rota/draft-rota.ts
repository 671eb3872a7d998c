import { conflictsOf } from './conflict.ts';
import type { Effort } from './fill-in.ts';
import { fillIn, noTrouble } from './fill-in.ts';
import type { Item, Limits } from './limits.ts';
import { allLimits } from './limits.ts';
import { nearestLoads, targetsOf } from './loads.ts';
import { cheapestHit, cheapestItem, withoutItems } from './repair.ts';
import type { RotaProblem } from './rota-problem.ts';
import type { Quota } from './rota-search.ts';
import { RotaSearch } from './rota-search.ts';
import { mostTurns } from './window-room.ts';

/** Dead ends of each try to fill in all weeks, before a conflict is looked for. */
const tries = [50, 100, 200, 400];

/** Dead ends of all searches for teams together. */
const allFails = 10_000;

export const countOf = (values: Int32Array): number => values.reduce((a, b) => a + b, 0);

/** A rota in numbers, and what of the limits it had to give up. */
export interface Draft {
  on: Uint8Array;
  limits: Limits;
  givenUp: readonly Item[];
  conflict: readonly Item[];
  /** what was asked: all limits */
  asked: Limits;
  /** whether no cheaper repair makes a rota possible; true when none is needed */
  cheapest: boolean;
}

/**
 * How urgent a turn of a household is: those come first who have the least room beyond the turns that they still should get, because of gaps and absences;
 * among equals who is furthest below an even pace.
 */
function urgency(search: RotaSearch, aim: readonly number[]): (household: number, week: number) => number {
  const last = search.problem.weeks.length - 1;
  return (h, w) => {
    const turns = search.turns[h] ?? 0;
    const pace = (aim[h] ?? 0) * (w + 1) - turns * (last + 1);
    const missing = (aim[h] ?? 0) - turns;
    if (missing <= 0) return missing * 1_000_000 + pace - 1_000_000;
    const room = mostTurns(search, h, 0, last) - turns;
    return (missing - room) * 1000 + pace;
  };
}

/** All weeks filled in, whoever is furthest below an even pace first; or the week in which that failed most often. */
export function fill(problem: RotaProblem, limits: Limits, effort: Effort, quota?: Quota): Uint8Array | number {
  const last = problem.weeks.length - 1;
  const aim = quota?.turns ?? nearestLoads(problem, limits, targetsOf(problem, countOf(limits.least)));
  const trouble = noTrouble({ problem });
  for (const fails of tries) {
    const search = new RotaSearch(problem, limits, 0, last, quota);
    if (!aim || !search.begin()) return search.failedIn;
    const prefer = urgency(search, aim);
    const filled = fillIn(search, { prefer, fails, effort, trouble });
    if (filled === 'yes') return Uint8Array.from(search.state, (value) => (value === 1 ? 1 : 0));
    if (filled === 'no') break;
  }
  return trouble.indexOf(Math.max(...trouble));
}

/** Takes back what was given up needlessly. */
function onlyNeeded(
  problem: RotaProblem,
  given: readonly Item[],
  effort: Effort,
): { on: Uint8Array; givenUp: readonly Item[] } | undefined {
  let items = given;
  let on: Uint8Array | undefined;
  for (const item of given) {
    const fewer = items.filter((other) => other !== item);
    const filled = fill(problem, withoutItems(problem, fewer), effort);
    if (typeof filled !== 'number') [items, on] = [fewer, filled];
  }
  return on && { on, givenUp: items };
}

/** A rota that keeps as many of the limits as can be kept, the dearest first. */
export function draftRota(problem: RotaProblem): Draft {
  const asked = allLimits(problem);
  const effort = { left: allFails };
  const conflicts = conflictsOf(problem, asked, effort, 1);
  const extra: Item[] = [];
  let cheapest = true;
  for (;;) {
    const repair = cheapestHit(problem, conflicts);
    cheapest &&= repair.cheapest;
    const givenUp = [...repair.items, ...extra];
    const limits = withoutItems(problem, givenUp);
    const filled = fill(problem, limits, effort);
    if (typeof filled !== 'number') {
      const needed = cheapest ? undefined : onlyNeeded(problem, givenUp, { left: allFails });
      const kept = needed ?? { on: filled, givenUp };
      return { ...kept, limits: withoutItems(problem, kept.givenUp), conflict: conflicts[0] ?? [], asked, cheapest };
    }
    const found = extra.length > 0 ? [] : conflictsOf(problem, limits, effort);
    conflicts.push(...found);
    if (found.length > 0) continue;
    // The searches end without a rota and without a reason: what is cheapest in the most troublesome week is given up.
    cheapest = false;
    const item = cheapestItem(problem, limits, filled);
    if (!item) throw new RangeError('A rota without any limits cannot be filled in.');
    extra.push(item);
  }
}
