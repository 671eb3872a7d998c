import { rational } from '@frostmoot/calc';
import type { StateShape } from '../../ui/state-mark.tsx';
import type { Week } from './this-week-query.ts';

type Turn = Week['cookDays'][number]['turns'][number];
type RotaTurn = Week['turns'][number];

/** What a cell of the board shows: nothing, or the shape of the household's turn. */
export type TurnShape = Extract<StateShape, 'taken' | 'setAside' | 'done'>;

/** A turn that is only planned may still change; one that was swapped or covered stands like a published one. */
export function shapeOf(state: string): TurnShape {
  if (state === 'planned') return 'setAside';
  return state === 'done' ? 'done' : 'taken';
}

/** Turns of the week's cook days, and those of the rota that no cook day has yet. */
export const turnsIn = (week: Week): Turn[] => [
  ...week.cookDays.flatMap(({ turns }) => turns),
  ...week.turns.flatMap(({ household, state, cookDayId }) =>
    household && cookDayId === null ? [{ household, state }] : [],
  ),
];

/** Whether anybody knows yet what is cooked in the week, or by whom. */
export const isPlanned = (week: Week): boolean => week.cookDays.length > 0 || week.turns.length > 0;

/** A cook who is missing; `turn` where it is one of the rota's, which a household can take. */
export interface MissingCook {
  date: string;
  turn: RotaTurn | null;
  roundNumber: number | null;
  /** households that cook in that week already, and so cannot take the turn */
  cooks: string[];
}

/** Turns that nobody has, and cook days that nobody is down for. */
export function missingCooks(weeks: readonly Week[]): MissingCook[] {
  return weeks.flatMap((week) => {
    const { weekOf, turns, cookDays } = week;
    const cooks = turnsIn(week).map(({ household }) => household.id);
    const open = turns.filter(({ household }) => household === null);
    const bare = cookDays.filter(
      (day) => day.turns.length === 0 && !open.some(({ cookDayId }) => cookDayId === day.id),
    );
    return [
      ...open.map((turn) => ({
        date: cookDays.find(({ id }) => id === turn.cookDayId)?.date ?? weekOf,
        turn,
        roundNumber: null,
        cooks,
      })),
      ...bare.map(({ date, roundNumber }) => ({ date, turn: null, roundNumber, cooks })),
    ];
  });
}

/** The shape of a household's turn in a week; the surest of several. */
export function turnOf(week: Week, householdId: string): TurnShape | null {
  const shapes = turnsIn(week)
    .filter(({ household }) => household.id === householdId)
    .map(({ state }) => shapeOf(state));
  return (['done', 'taken', 'setAside'] as const).find((shape) => shapes.includes(shape)) ?? null;
}

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
