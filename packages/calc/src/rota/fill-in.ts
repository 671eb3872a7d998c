import type { RotaSearch } from './rota-search.ts';
import { windowsHaveRoom } from './window-room.ts';

/** How a search ended: filled in, impossible, or given up. */
export type Filled = 'yes' | 'no' | 'unknown';

/** Dead ends that all searches for one rota may still have together, so that no input takes without end; counted down. */
export interface Effort {
  left: number;
}

export interface FillInOptions {
  /** which of two households is better in a week: larger is better */
  prefer: (household: number, week: number) => number;
  /** after how many dead ends to give up */
  fails: number;
  effort: Effort;
  /** whether what is settled so far cannot become anything that is wanted */
  isHopeless?: () => boolean;
  /** how often each week was a dead end, from 1; counted on, so that another try begins where this one had trouble */
  trouble?: Float64Array;
}

/** The demand that is open and has the fewest cooks to choose from, for its trouble, or undefined. */
function scarcestDemand(search: RotaSearch, trouble: Float64Array): number | undefined {
  const { problem, limits, met, could, from, to } = search;
  let best: number | undefined;
  let [bestCould, bestTrouble] = [1, 0];
  for (let w = from; w <= to; w++) {
    for (const demand of problem.demandsIn[w] ?? []) {
      if (!limits.skill[demand] || (met[demand] ?? 0) > 0) continue;
      const [choice, hard] = [could[demand] ?? 0, trouble[w] ?? 1];
      if (best === undefined || choice * bestTrouble < bestCould * hard) {
        [best, bestCould, bestTrouble] = [demand, choice, hard];
      }
    }
  }
  return best;
}

function lacksPots({ problem, limits, state, left }: RotaSearch, week: number): boolean {
  if (!limits.pots[week] || (left[week] ?? 0) === 0) return false;
  const { weeks, households } = problem;
  const pots = households.reduce((sum, { potMl }, h) => sum + (state[h * weeks.length + week] === 1 ? potMl : 0), 0);
  return pots < (weeks[week]?.potMl ?? 0);
}

/** The week that lacks cooks, or pots, and has the fewest households to spare, for its trouble, or undefined. */
function scarcestWeek(search: RotaSearch, trouble: Float64Array): number | undefined {
  const { limits, cooks, left, from, to } = search;
  let best: number | undefined;
  let [bestSpare, bestTrouble] = [1, 0];
  for (let w = from; w <= to; w++) {
    const lacking = (limits.least[w] ?? 0) - (cooks[w] ?? 0);
    if (lacking <= 0 && !lacksPots(search, w)) continue;
    const [spare, hard] = [(left[w] ?? 0) - Math.max(0, lacking) + 1, trouble[w] ?? 1];
    if (best === undefined || spare * bestTrouble < bestSpare * hard) [best, bestSpare, bestTrouble] = [w, spare, hard];
  }
  return best;
}

/** The open pair to decide next: the best household where there is least to choose from. Undefined when nothing is lacking. */
function nextPair(search: RotaSearch, prefer: FillInOptions['prefer'], trouble: Float64Array): number | undefined {
  const { problem, state } = search;
  const demand = scarcestDemand(search, trouble);
  const week = demand === undefined ? scarcestWeek(search, trouble) : problem.demands[demand]?.week;
  if (week === undefined) return undefined;
  let best: number | undefined;
  let bestValue = -Infinity;
  for (const h of demand === undefined ? problem.households.keys() : (problem.cooksOf[demand] ?? [])) {
    const pair = h * problem.weeks.length + week;
    if (state[pair] !== -1) continue;
    const value = prefer(h, week);
    if (value > bestValue) [best, bestValue] = [pair, value];
  }
  return best;
}

export const noTrouble = (search: Pick<RotaSearch, 'problem'>): Float64Array =>
  new Float64Array(search.problem.weeks.length).fill(1);

/**
 * Fills a search in, by trying the scarcest choice first: who makes a dish that few can make, then who cooks in a week with few to spare. Weeks that were
 * dead ends before count as scarcer (Boussemart, Hemery, Lecoutre and Sais, ECAI 2004). Complete: `no` is a proof.
 */
export function fillIn(search: RotaSearch, options: FillInOptions): Filled {
  const { prefer, fails, effort, isHopeless = () => false, trouble = noTrouble(search) } = options;
  const decided: { mark: number; pair: number }[] = [];
  let failed = 0;
  for (;;) {
    const pair = nextPair(search, prefer, trouble);
    if (pair === undefined) return 'yes';
    decided.push({ mark: search.mark(), pair });
    let sound = search.set(pair, 1) && !isHopeless();
    while (!sound) {
      failed++;
      effort.left--;
      trouble[search.failedIn] = (trouble[search.failedIn] ?? 1) + 1;
      if (failed > fails || effort.left < 0) return 'unknown';
      const last = decided.pop();
      if (!last) return 'no';
      search.backTo(last.mark);
      sound = search.set(last.pair, 0) && !isHopeless();
      // Dead ends in numbers come from too few turns in some stretch, which single steps do not see.
      if (sound && failed % 16 === 8) sound = windowsHaveRoom(search);
    }
  }
}
