import type { Limits } from './limits.ts';
import type { Targets } from './loads.ts';
import type { RotaProblem } from './rota-problem.ts';

interface Step {
  household: number;
  week: number;
  /** the turn that it must give away next, because this one is too near to it */
  gives: number | undefined;
  before: number;
}

/** A whole rota in which turns pass from household to household, every limit kept. */
export class Levelling {
  private readonly problem: RotaProblem;
  private readonly limits: Limits;
  private readonly on: Uint8Array;
  private readonly span: number;
  private readonly deviation: bigint[];
  private readonly factor: bigint;

  constructor(problem: RotaProblem, limits: Limits, targets: Targets, turns: ArrayLike<number>) {
    this.problem = problem;
    this.limits = limits;
    this.span = problem.weeks.length;
    this.on = Uint8Array.from(turns, (value) => (value === 1 ? 1 : 0));
    this.factor = targets.factor;
    this.deviation = targets.parts.map((part, h) => BigInt(this.weeksOf(h).length) * this.factor - part);
  }

  turns(): Uint8Array {
    return this.on;
  }

  loads(): number[] {
    return this.problem.households.map((_, h) => this.weeksOf(h).length);
  }

  /**
   * Passes turns on, from households with too many by way of others to ones with too few, until no chain of such steps brings the sum of squares down. Where
   * only availability binds this ends at the least sum, because every better rota differs from this one by such chains.
   */
  run(): void {
    let seen = new Uint8Array(this.on.length);
    const order = (): number[] =>
      [...this.deviation.keys()].sort((a, b) => {
        const [x, y] = [this.deviation[a] ?? 0n, this.deviation[b] ?? 0n];
        return x > y ? -1 : x < y ? 1 : a - b;
      });
    for (let givers = order(); givers.length > 0;) {
      const giver = givers.shift() ?? 0;
      const chain = this.chainFrom(giver, seen);
      if (!chain) continue;
      this.apply(giver, chain);
      seen = new Uint8Array(this.on.length);
      givers = order();
    }
  }

  private weeksOf(household: number): number[] {
    const weeks: number[] = [];
    for (let w = 0; w < this.span; w++) if (this.on[household * this.span + w]) weeks.push(w);
    return weeks;
  }

  /** The shortest chain to somebody who is more than one turn below the giver. What earlier givers have looked through without success is not looked at again. */
  private chainFrom(giver: number, seen: Uint8Array): Step[] | undefined {
    const goal = (this.deviation[giver] ?? 0n) - this.factor;
    if (!this.deviation.some((value) => value < goal)) return undefined;
    const steps: Step[] = [{ household: giver, week: -1, gives: undefined, before: -1 }];
    for (let at = 0; at < steps.length; at++) {
      const step = steps[at];
      if (!step) continue;
      for (const week of step.gives === undefined ? this.weeksOf(step.household) : [step.gives]) {
        if (this.limits.kept[step.household * this.span + week] || this.isUsed(steps, at, week)) continue;
        for (let h = 0; h < this.deviation.length; h++) {
          const pair = h * this.span + week;
          if (seen[pair] || this.on[pair] || !this.canReplace(week, step.household, h)) continue;
          const near = this.tooNear(h, week, steps, at);
          if (!near || near.length > 1) continue;
          seen[pair] = 1;
          steps.push({ household: h, week, gives: near[0], before: at });
          if (near.length === 0 && (this.deviation[h] ?? 0n) < goal) {
            return this.chainTo(steps, steps.length - 1);
          }
        }
      }
    }
    return undefined;
  }

  private isUsed(steps: readonly Step[], from: number, week: number): boolean {
    for (let at = from; at > 0; at = steps[at]?.before ?? 0) if (steps[at]?.week === week) return true;
    return false;
  }

  private chainTo(steps: readonly Step[], last: number): Step[] {
    const chain: Step[] = [];
    for (let at = last; at > 0; at = steps[at]?.before ?? 0) {
      const step = steps[at];
      if (step) chain.unshift(step);
    }
    return chain;
  }

  private apply(giver: number, chain: readonly Step[]): void {
    let from = giver;
    for (const { household, week } of chain) {
      this.on[from * this.span + week] = 0;
      this.on[household * this.span + week] = 1;
      from = household;
    }
    this.deviation[giver] = (this.deviation[giver] ?? 0n) - this.factor;
    this.deviation[from] = (this.deviation[from] ?? 0n) + this.factor;
  }

  /** The turns of a household that are too near to one more, after the steps so far; undefined when one of those steps has given it such a turn. */
  private tooNear(household: number, week: number, steps: readonly Step[], last: number): number[] | undefined {
    const gap = this.problem.households[household]?.minGap ?? 0;
    const first = household * this.span;
    const isNear = (w: number): boolean =>
      Math.abs(w - week) <= gap && this.limits.gap[first + Math.max(w, week)] === 1;
    const near: number[] = [];
    for (let w = Math.max(0, week - gap); w <= Math.min(this.span - 1, week + gap); w++) {
      if (this.on[first + w] && isNear(w)) near.push(w);
    }
    for (let at = last, after = week; at >= 0; at = steps[at]?.before ?? -1) {
      const step = steps[at];
      if (step?.household === household) {
        if (step.week >= 0 && isNear(step.week)) return undefined;
        if (near.includes(after)) near.splice(near.indexOf(after), 1);
      }
      after = step?.week ?? -1;
    }
    return near;
  }

  /** Whether one household can cook instead of another in a week, as far as the week itself is concerned. */
  private canReplace(week: number, out: number, into: number): boolean {
    const { problem, limits, span } = this;
    if (limits.away[into * span + week]) return false;
    const cooks = (): number[] =>
      problem.households.flatMap((_, h) => (this.on[h * span + week] && h !== out ? [h] : []));
    const lost = (problem.meets[out * span + week] ?? []).filter(
      (demand) => limits.skill[demand] && !problem.meets[into * span + week]?.includes(demand),
    );
    if (lost.length > 0) {
      const others = cooks();
      if (lost.some((demand) => !others.some((h) => problem.meets[h * span + week]?.includes(demand)))) return false;
    }
    const pot = (h: number): number => problem.households[h]?.potMl ?? 0;
    if (!limits.pots[week] || pot(into) >= pot(out)) return true;
    return cooks().reduce((sum, h) => sum + pot(h), pot(into)) >= (problem.weeks[week]?.potMl ?? 0);
  }
}
