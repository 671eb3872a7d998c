import { fillIn, noTrouble } from './fill-in.ts';
import type { Effort, Filled } from './fill-in.ts';
import type { Item, Limits } from './limits.ts';
import { impose, itemsOf, noLimits } from './limits.ts';
import type { RotaProblem } from './rota-problem.ts';
import { RotaSearch } from './rota-search.ts';
import { windowsHaveRoom } from './window-room.ts';

/** Dead ends of each try: the second begins with a count of turns in stretches of weeks, and both after the first where there was trouble. */
const tries = [40, 80, 160];

/** Weeks from the first to the second. */
export type Stretch = readonly [from: number, to: number];

/** Whether some rota keeps these limits in these weeks. */
function isPossible(problem: RotaProblem, limits: Limits, [from, to]: Stretch, effort: Effort): Filled {
  const trouble = noTrouble({ problem });
  for (const [number, fails] of tries.entries()) {
    const search = new RotaSearch(problem, limits, from, to);
    if (!search.begin() || (number === 1 && !windowsHaveRoom(search))) return 'no';
    const filled = fillIn(search, { prefer: (h) => -(search.turns[h] ?? 0), fails, effort, trouble });
    if (filled !== 'unknown') return filled;
  }
  return 'unknown';
}

/**
 * An irreducible conflict among the limits of weeks that cannot be filled: together they cannot be kept, and without any one of them the others can.
 * Method: QuickXplain (Junker, AAAI 2004), which prefers to keep what comes first in the list of items. Irreducible as far as the searches came to an end.
 */
function conflictIn(problem: RotaProblem, limits: Limits, stretch: Stretch, effort: Effort): Item[] {
  const cannot = (items: readonly Item[]): boolean => {
    const these = noLimits(problem);
    for (const item of items) impose(these, item);
    return isPossible(problem, these, stretch, effort) === 'no';
  };
  const explain = (given: readonly Item[], hasNew: boolean, items: readonly Item[]): Item[] => {
    if (hasNew && cannot(given)) return [];
    if (items.length <= 1) return [...items];
    const half = Math.floor(items.length / 2);
    const [first, second] = [items.slice(0, half), items.slice(half)];
    const late = explain([...given, ...first], true, second);
    const early = explain([...given, ...late], late.length > 0, first);
    return [...early, ...late];
  };
  const all = itemsOf(problem, limits, ...stretch);
  const found = explain([], false, all);
  return cannot(found) ? found : all;
}

/** The longest stretch that is looked at by itself; beyond, all weeks are looked at together. */
const longestStretch = 12;

/** Irreducible conflicts in the shortest stretches of at most `longest` weeks that cannot be filled by themselves; none when no such stretch was found. */
export function conflictsOf(problem: RotaProblem, limits: Limits, effort: Effort, longest = longestStretch): Item[][] {
  const weeks = problem.weeks.length;
  const lengths = Array.from({ length: Math.min(longest, weeks) }, (_, i) => i + 1);
  for (const length of longest === longestStretch && weeks > longest ? [...lengths, weeks] : lengths) {
    const found: Item[][] = [];
    for (let from = 0; from + length <= weeks; from++) {
      const stretch: Stretch = [from, from + length - 1];
      if (isPossible(problem, limits, stretch, effort) === 'no')
        found.push(conflictIn(problem, limits, stretch, effort));
    }
    if (found.length > 0) return found;
  }
  return [];
}
