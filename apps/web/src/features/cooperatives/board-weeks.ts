import { rational } from '@frostmoot/calc';
import type { StateShape } from '../../ui/state-mark.tsx';
import type { Week } from './this-week-query.ts';

type Turn = Week['cookDays'][number]['turns'][number];

/** What a cell of the board shows: nothing, or the shape of the household's turn. */
export type TurnShape = Extract<StateShape, 'taken' | 'setAside' | 'done'>;

/** A turn that is only planned may still change; one that was swapped or covered stands like a published one. */
export function shapeOf(state: string): TurnShape {
  if (state === 'planned') return 'setAside';
  return state === 'done' ? 'done' : 'taken';
}

export const turnsIn = (week: Week): Turn[] => week.cookDays.flatMap(({ turns }) => turns);

/** The shape of a household's turn in a week; the surest of several. */
export function turnOf(week: Week, householdId: string): TurnShape | null {
  const shapes = turnsIn(week)
    .filter(({ household }) => household.id === householdId)
    .map(({ state }) => shapeOf(state));
  return (['done', 'taken', 'setAside'] as const).find((shape) => shapes.includes(shape)) ?? null;
}

/** Days in the weeks that nobody is down for. */
export const daysWithoutCook = (weeks: readonly Week[]): string[] =>
  weeks.flatMap(({ cookDays }) => cookDays.filter(({ turns }) => turns.length === 0).map(({ date }) => date));

/** What a column of the board is headed by: its cook days, else the first day of the week. */
export const datesOf = (week: Week): string[] =>
  week.cookDays.length > 0 ? [...new Set(week.cookDays.map(({ date }) => date))] : [week.weekOf];

export interface TurnCount {
  given: number;
  /** Exact, as text; null while nobody counts for anything. */
  fair: string | null;
}

/** Turns in the weeks by household, and how many its headcount weight would make fair: all turns by weight. */
export function countTurns(
  weeks: readonly Week[],
  weights: readonly { id: string; weight: string }[],
): Map<string, TurnCount> {
  const turns = weeks.flatMap(turnsIn);
  const all = rational.sum(weights.map(({ weight }) => rational.parse(weight)));
  const total = rational.rational(BigInt(turns.length));
  return new Map(
    weights.map(({ id, weight }) => {
      const given = turns.filter(({ household }) => household.id === id).length;
      const fair =
        all.n === 0n ? null : rational.format(rational.div(rational.mul(total, rational.parse(weight)), all));
      return [id, { given, fair }];
    }),
  );
}
