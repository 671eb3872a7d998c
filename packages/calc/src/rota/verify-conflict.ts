import type { Limit } from './limits.ts';
import type { RotaInput } from './rota-input.ts';

/** Pairs that may be decided before a check is given up. */
const mostSteps = 200_000;

/** Turns that are decided one pair after another, and whether some limits can still all be kept. */
class Trial {
  private readonly input: RotaInput;
  private readonly limits: readonly Limit[];
  private readonly weeks: readonly string[];
  private readonly order: { week: string; household: string }[];
  private readonly state = new Map<string, boolean>();
  steps = 0;

  constructor(input: RotaInput, limits: readonly Limit[]) {
    this.input = input;
    this.limits = limits;
    this.weeks = input.weeks.map(({ id }) => id).sort();
    const named = new Set(limits.map(({ week }) => week));
    // The weeks before a gap's week count too.
    for (const limit of limits) {
      if (limit.kind === 'gap') for (const week of this.before(limit.week, limit.household)) named.add(week);
    }
    this.order = this.weeks
      .filter((week) => named.has(week))
      .flatMap((week) => input.households.map((household) => ({ week, household: household.id })));
  }

  /** Whether the rest can be decided so that all limits are kept. */
  run(next = 0): boolean {
    if (++this.steps > mostSteps) return true;
    if (!this.limits.every((limit) => this.canKeep(limit))) return false;
    const pair = this.order[next];
    if (!pair) return true;
    const key = JSON.stringify([pair.week, pair.household]);
    for (const value of [false, true]) {
      this.state.set(key, value);
      if (this.run(next + 1)) return true;
    }
    this.state.delete(key);
    return false;
  }

  private before(week: string, household: string): string[] {
    const at = this.weeks.indexOf(week);
    const gap = this.input.households.find(({ id }) => id === household)?.minGap ?? 0;
    return this.weeks.slice(Math.max(0, at - gap), at);
  }

  private isOn(week: string, household: string): boolean {
    return this.state.get(JSON.stringify([week, household])) === true;
  }

  /** Whether a household can still cook, as far as absences among the limits and decisions say. */
  private may(week: string, household: string): boolean {
    if (this.state.get(JSON.stringify([week, household])) === false) return false;
    return !this.limits.some((limit) => limit.kind === 'away' && limit.week === week && limit.household === household);
  }

  private canKeep(limit: Limit): boolean {
    const { households } = this.input;
    const week = this.input.weeks.find(({ id }) => id === limit.week);
    const could = households.filter(({ id }) => this.may(limit.week, id));
    switch (limit.kind) {
      case 'least':
        return could.length >= limit.cooks;
      case 'most':
        return households.filter(({ id }) => this.isOn(limit.week, id)).length <= limit.cooks;
      case 'skill':
        return could.some(({ skills }) => skills.has(limit.dish));
      case 'pots':
        return could.reduce((sum, { potMl }) => sum + potMl, 0) >= (week?.potMl ?? 0);
      case 'kept':
        return could.some(({ id }) => id === limit.household);
      case 'away':
        return !this.isOn(limit.week, limit.household);
      case 'gap':
        return (
          !this.isOn(limit.week, limit.household) ||
          !this.before(limit.week, limit.household).some((other) => this.isOn(other, limit.household))
        );
    }
  }
}

/** Whether some turns keep these limits, by trying all; undefined when that takes too long. */
export function canBeKept(input: RotaInput, limits: readonly Limit[]): boolean | undefined {
  const trial = new Trial(input, limits);
  const found = trial.run();
  return trial.steps > mostSteps ? undefined : found;
}
