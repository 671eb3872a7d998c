import { comingWeeks } from '../this-week/coming-weeks.ts';

/** Which weeks a rota is to fill. */
export interface WeeksAsked {
  /** any day of the first week, ISO 8601 */
  from: string;
  weeks: number;
  team: number;
  /** 1: every week is cooked in; 2: every other */
  every: number;
}

/** A week of a rota: its Monday, how many cook, what, and what their pots must hold together. */
export interface WeekToFill {
  weekOf: string;
  team: number;
  dishes: readonly string[];
  potMl: number;
}

/**
 * The weeks of a rota, each by its Monday, with how many cook in it. Weeks in between are there too, with nobody, since a rest between turns is counted in
 * weeks of the calendar. Our decision, ADR 47. Throws RangeError for a date that is none.
 */
export function weeksToFill({ from, weeks, team, every }: WeeksAsked): WeekToFill[] {
  return comingWeeks(from, weeks).map((weekOf, index) => ({
    weekOf,
    team: index % every === 0 ? team : 0,
    dishes: [],
    potMl: 0,
  }));
}
