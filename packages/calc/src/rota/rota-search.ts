import type { Limits } from './limits.ts';
import type { RotaProblem } from './rota-problem.ts';
import { mostTurns } from './window-room.ts';

const open = -1;

/** Turns that each household must have, give or take some. */
export interface Quota {
  turns: readonly number[];
  tolerance: number;
}

/**
 * A rota that is being filled in: each pair of household and week is open, on (1) or off (0). Setting one draws every conclusion that follows from a single
 * week, a single dish or a single household's gap, and says when none is left. Steps are undone in reverse.
 */
export class RotaSearch {
  readonly problem: RotaProblem;
  readonly limits: Limits;
  readonly from: number;
  readonly to: number;
  readonly state: Int8Array;
  /** turns of each household, cooks of each week so far, and pairs of each week that are open */
  readonly turns: Int32Array;
  readonly cooks: Int32Array;
  readonly left: Int32Array;
  /** cooks of each demand so far, and ones that could still be */
  readonly met: Int32Array;
  readonly could: Int32Array;
  /** the week in which the last contradiction showed */
  failedIn = 0;
  private readonly quota: Quota | undefined;
  private readonly trail: number[] = [];
  private fresh: number[] = [];
  private touched = new Set<number>();
  private readonly span: number;

  /** Only the weeks from `from` to `to` are looked at. */
  constructor(problem: RotaProblem, limits: Limits, from: number, to: number, quota?: Quota) {
    const { households, weeks, demands, cooksOf } = problem;
    this.problem = problem;
    this.limits = limits;
    this.from = from;
    this.to = to;
    this.quota = quota;
    this.span = weeks.length;
    this.state = new Int8Array(households.length * weeks.length).fill(open);
    this.turns = new Int32Array(households.length);
    this.cooks = new Int32Array(weeks.length);
    this.left = new Int32Array(weeks.length).fill(households.length);
    this.met = new Int32Array(demands.length);
    this.could = Int32Array.from(cooksOf, (cooks) => cooks.length);
  }

  /** Settles what the limits alone settle. False when that is impossible. */
  begin(): boolean {
    const { households, demandsIn } = this.problem;
    for (let h = 0; h < households.length; h++) {
      for (let w = this.from; w <= this.to; w++) {
        const pair = h * this.span + w;
        if (this.limits.kept[pair] && !this.put(pair, 1)) return false;
        if (this.limits.away[pair] && !this.put(pair, 0)) return false;
      }
    }
    for (let w = this.from; w <= this.to; w++) {
      if (!this.checkWeek(w)) return false;
      for (const demand of demandsIn[w] ?? []) if (!this.checkDemand(demand)) return false;
    }
    return this.conclude();
  }

  isOpen(pair: number): boolean {
    return this.state[pair] === open;
  }

  mark(): number {
    return this.trail.length;
  }

  /** Sets one open pair and everything that follows. False when that is impossible; then go back to an earlier mark. */
  set(pair: number, value: 0 | 1): boolean {
    return this.put(pair, value) && this.conclude();
  }

  backTo(mark: number): void {
    this.fresh = [];
    this.touched.clear();
    while (this.trail.length > mark) {
      const pair = this.trail.pop() ?? 0;
      const week = pair % this.span;
      const value = this.state[pair] ?? 0;
      this.state[pair] = open;
      this.left[week] = (this.left[week] ?? 0) + 1;
      if (value === 1) this.count(pair, week, -1);
      for (const demand of this.problem.meets[pair] ?? []) this.could[demand] = (this.could[demand] ?? 0) + 1;
    }
  }

  private count(pair: number, week: number, by: number): void {
    const household = Math.floor(pair / this.span);
    this.turns[household] = (this.turns[household] ?? 0) + by;
    this.cooks[week] = (this.cooks[week] ?? 0) + by;
    for (const demand of this.problem.meets[pair] ?? []) this.met[demand] = (this.met[demand] ?? 0) + by;
  }

  private put(pair: number, value: 0 | 1): boolean {
    const before = this.state[pair];
    if (before !== open) return before === value;
    const week = pair % this.span;
    this.state[pair] = value;
    this.trail.push(pair);
    this.fresh.push(pair);
    if (this.quota) this.touched.add(Math.floor(pair / this.span));
    this.left[week] = (this.left[week] ?? 0) - 1;
    if (value === 1) this.count(pair, week, 1);
    for (const demand of this.problem.meets[pair] ?? []) this.could[demand] = (this.could[demand] ?? 0) - 1;
    return true;
  }

  private conclude(): boolean {
    do {
      if (!this.concludeWeeks()) return false;
      for (const household of this.touched) if (!this.keepQuota(household)) return this.failIn(this.failedIn);
      this.touched.clear();
    } while (this.fresh.length > 0);
    return true;
  }

  private keepQuota(household: number): boolean {
    const { turns: ideal = [], tolerance = 0 } = this.quota ?? {};
    const quota = ideal[household] ?? 0;
    const turns = this.turns[household] ?? 0;
    if (turns > quota + tolerance) return false;
    if (turns < quota + tolerance) {
      return turns >= quota - tolerance || mostTurns(this, household, this.from, this.to) >= quota - tolerance;
    }
    for (let w = this.from; w <= this.to; w++) {
      const pair = household * this.span + w;
      if (this.state[pair] === open && !this.put(pair, 0)) return false;
    }
    return true;
  }

  private concludeWeeks(): boolean {
    for (let pair = this.fresh.pop(); pair !== undefined; pair = this.fresh.pop()) {
      if (this.state[pair] === 1 && !this.keepGap(pair)) return this.failIn(pair % this.span);
      if (!this.checkWeek(pair % this.span)) return this.failIn(pair % this.span);
      for (const demand of this.problem.meets[pair] ?? []) {
        if (!this.checkDemand(demand)) return this.failIn(pair % this.span);
      }
    }
    return true;
  }

  private failIn(week: number): false {
    this.failedIn = week;
    return false;
  }

  private keepGap(pair: number): boolean {
    const household = Math.floor(pair / this.span);
    const week = pair % this.span;
    const gap = this.problem.households[household]?.minGap ?? 0;
    if (this.limits.gap[pair]) {
      for (let w = Math.max(this.from, week - gap); w < week; w++)
        if (!this.put(household * this.span + w, 0)) return false;
    }
    for (let w = week + 1; w <= Math.min(this.to, week + gap); w++) {
      const later = household * this.span + w;
      if (this.limits.gap[later] && !this.put(later, 0)) return false;
    }
    return true;
  }

  private checkWeek(week: number): boolean {
    const cooks = this.cooks[week] ?? 0;
    const least = this.limits.least[week] ?? 0;
    const most = this.limits.most[week] ?? 0;
    const left = this.left[week] ?? 0;
    if (cooks > most || cooks + left < least) return false;
    if (left > 0 && cooks === most) return this.putWeek(week, 0);
    if (left > 0 && cooks + left === least) return this.putWeek(week, 1);
    return !this.limits.pots[week] || this.checkPots(week, most - cooks);
  }

  private putWeek(week: number, value: 0 | 1): boolean {
    for (let pair = week; pair < this.state.length; pair += this.span) {
      if (this.state[pair] === open && !this.put(pair, value)) return false;
    }
    return true;
  }

  /** Whether the pots of the cooks and of the best that may still come hold enough. */
  private checkPots(week: number, places: number): boolean {
    const { households, weeks } = this.problem;
    let short = weeks[week]?.potMl ?? 0;
    const others: number[] = [];
    households.forEach(({ potMl }, h) => {
      const value = this.state[h * this.span + week];
      if (value === 1) short -= potMl;
      else if (value === open) others.push(potMl);
    });
    if (short <= 0) return true;
    others.sort((a, b) => b - a);
    for (let i = 0; i < places && short > 0; i++) short -= others[i] ?? 0;
    return short <= 0;
  }

  private checkDemand(demand: number): boolean {
    if (!this.limits.skill[demand] || (this.met[demand] ?? 0) > 0) return true;
    const could = this.could[demand] ?? 0;
    if (could !== 1) return could > 1;
    const week = this.problem.demands[demand]?.week ?? 0;
    const cook = (this.problem.cooksOf[demand] ?? []).find((h) => this.state[h * this.span + week] === open) ?? 0;
    return this.put(cook * this.span + week, 1);
  }
}
