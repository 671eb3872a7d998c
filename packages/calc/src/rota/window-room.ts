import type { RotaSearch } from './rota-search.ts';

/** The most turns that a household can still have in these weeks. Taking each as soon as its gap allows is best: the next one is then free soonest. */
export function mostTurns({ problem, limits, state }: RotaSearch, household: number, from: number, to: number): number {
  const weeks = problem.weeks.length;
  const gap = problem.households[household]?.minGap ?? 0;
  let turns = 0;
  let last = -Infinity;
  for (let w = from; w <= to; w++) {
    const pair = household * weeks + w;
    if (state[pair] === 0 || (limits.gap[pair] && w - last <= gap)) continue;
    turns++;
    last = w;
  }
  return turns;
}

/** Households given to places of weeks, each household at most as often as it can: augmenting paths, one for each place. */
class Places {
  private readonly search: RotaSearch;
  private readonly room: number[];
  private readonly given: number[][];
  private seen: Uint8Array;

  constructor(search: RotaSearch, room: number[]) {
    this.search = search;
    this.room = room;
    this.given = room.map(() => []);
    this.seen = new Uint8Array(room.length);
  }

  fill(week: number): boolean {
    this.seen = new Uint8Array(this.room.length);
    return this.find(week);
  }

  private find(week: number): boolean {
    const weeks = this.search.problem.weeks.length;
    for (const [h, room] of this.room.entries()) {
      const given = this.given[h] ?? [];
      if (this.seen[h] || room === 0 || this.search.state[h * weeks + week] === 0 || given.includes(week)) continue;
      this.seen[h] = 1;
      if (given.length < room) {
        given.push(week);
        return true;
      }
      for (const [i, other] of given.entries()) {
        if (!this.find(other)) continue;
        given[i] = week;
        return true;
      }
    }
    return false;
  }
}

const longestWindow = 12;

/**
 * Whether each stretch of weeks has enough turns left in its households: a test that a rota must pass, by the largest flow from households (as many turns
 * as their gaps allow in the stretch) to weeks. It sees what single weeks do not, such as nine households with a gap of four for two cooks a week.
 */
export function windowsHaveRoom(search: RotaSearch): boolean {
  const { from, to, problem, limits } = search;
  for (let length = 2; length <= to - from + 1; length++) {
    if (length > longestWindow && length <= to - from) continue;
    for (let first = from; first + length - 1 <= to; first++) {
      const last = first + length - 1;
      const places = new Places(
        search,
        problem.households.map((_, h) => mostTurns(search, h, first, last)),
      );
      for (let w = first; w <= last; w++) {
        for (let place = limits.least[w] ?? 0; place > 0; place--) if (!places.fill(w)) return false;
      }
    }
  }
  return true;
}
