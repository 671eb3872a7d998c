import { addDays, comingWeeks, formatDate, owedBefore, parseDate, rational } from '@frostmoot/calc';
import type { Rational, WeekToFill } from '@frostmoot/calc';
import { litresOf } from './pots.ts';
import type { TurnRow } from './rota-turns.repository.ts';

/** A household that may cook, with what its turns depend on. */
export interface CookingHousehold {
  id: string;
  name: string;
  joinedOn: string;
  leftOn: string | null;
  weight: Rational;
  /** what the turns book says, in micro-turns */
  balance: bigint;
  potMl: number | null;
  minGapWeeks: number;
  awayWeeks: readonly string[];
  recipeIds: readonly string[];
}

/** A rota as the calculation reads it, and the turns of weeks around it that rests are counted from. */
export interface RotaQuestion {
  input: {
    weeks: { id: string; team: number; litres: string; dishes: string[] }[];
    households: object[];
    kept: { week: string; household: string }[];
  };
  around: { week: string; household: string }[];
}

const week = (monday: string, weeks: number): string => formatDate(addDays(parseDate(monday), weeks * 7));

/** The weeks that can matter to these: as far before and after as the longest rest reaches. */
export function reachOf(weeks: readonly WeekToFill[], households: readonly CookingHousehold[]) {
  const gap = Math.max(0, ...households.map(({ minGapWeeks }) => minGapWeeks));
  const first = weeks[0]?.weekOf ?? '';
  const last = weeks.at(-1)?.weekOf ?? first;
  return { first: week(first, -gap), last: week(last, gap), weeks: weeks.length + 2 * gap };
}

/** The nearest published turn of a household before the weeks, and after them. */
function nearestOutside(weeks: readonly WeekToFill[], published: readonly TurnRow[], households: ReadonlySet<string>) {
  const first = weeks[0]?.weekOf ?? '';
  const last = weeks.at(-1)?.weekOf ?? '';
  const before = new Map<string, TurnRow>();
  const after = new Map<string, TurnRow>();
  for (const turn of published) {
    const id = turn.household?.id ?? '';
    if (!households.has(id)) continue;
    if (turn.weekOf < first) before.set(id, turn);
    if (turn.weekOf > last && !after.has(id)) after.set(id, turn);
  }
  return [...before.values(), ...after.values()].map((turn) => ({
    week: turn.weekOf,
    household: turn.household?.id ?? '',
  }));
}

/**
 * What a rota for these weeks is worked out from. `published`: turns from reachOf, in time; those inside the weeks are kept, and so are those that were set by
 * hand on a round's cook day (`handSet`, which the book does not know yet) and those of the draft that are to stay (`kept`). Dishes and
 * pots only count once some household has said which dishes it can cook, and how large its pots are: before that nobody could cook anything.
 */
export function rotaQuestion(
  weeks: readonly WeekToFill[],
  households: readonly CookingHousehold[],
  published: readonly TurnRow[],
  handSet: readonly { weekOf: string; householdId: string }[],
  kept: readonly { weekOf: string; householdId: string }[],
): RotaQuestion {
  const known = new Set(households.map(({ id }) => id));
  const filled = new Map(weeks.map((each) => [each.weekOf, each]));
  const inside = published.filter(({ weekOf }) => filled.has(weekOf));
  const held = inside.filter(({ household }) => household && known.has(household.id));
  const around = nearestOutside(weeks, published, known);
  const booked = [
    ...around,
    ...held.map(({ weekOf, household }) => ({ week: weekOf, household: household?.id ?? '' })),
  ];
  const stays = [
    ...booked,
    ...[...handSet.filter(({ weekOf, householdId }) => filled.has(weekOf) && known.has(householdId)), ...kept].map(
      ({ weekOf, householdId }) => ({ week: weekOf, household: householdId }),
    ),
  ];
  const countDishes = households.some(({ recipeIds }) => recipeIds.length > 0);
  const countPots = households.some(({ potMl }) => potMl !== null);
  const { first, weeks: span } = reachOf(weeks, households);
  const mondays = weeks.length === 0 ? [] : comingWeeks(first, span);
  return {
    input: {
      weeks: mondays.map((monday) => {
        const asked = filled.get(monday);
        const rows = inside.filter(({ weekOf }) => weekOf === monday).length;
        const set = handSet.filter(({ weekOf, householdId }) => weekOf === monday && known.has(householdId)).length;
        return {
          id: monday,
          team: asked ? Math.max(asked.team, rows + set) : around.filter((turn) => turn.week === monday).length,
          litres: litresOf(countPots ? (asked?.potMl ?? 0) : 0),
          dishes: countDishes ? [...(asked?.dishes ?? [])] : [],
        };
      }),
      households: householdsOf(households, mondays, booked, inside.length - held.length),
      kept: [...new Map(stays.map((turn) => [`${turn.week} ${turn.household}`, turn])).values()],
    },
    around,
  };
}

function householdsOf(
  households: readonly CookingHousehold[],
  mondays: readonly string[],
  published: RotaQuestion['around'],
  open: number,
): object[] {
  const owed = owedBefore(
    new Map(
      households.map(({ id, weight, balance }) => [
        id,
        { weight, balance, published: published.filter(({ household }) => household === id).length },
      ]),
    ),
    open,
  );
  return households.map(({ id, weight, leftOn, joinedOn, ...rest }) => ({
    id,
    weight: rational.format(weight),
    owedTurns: rational.format(owed.get(id) ?? rational.zero),
    away: mondays.filter(
      (monday) =>
        rest.awayWeeks.includes(monday) || (leftOn !== null && week(monday, 1) > leftOn) || week(monday, 1) <= joinedOn,
    ),
    skills: [...rest.recipeIds],
    potLitres: litresOf(rest.potMl ?? 0),
    minGap: rest.minGapWeeks,
  }));
}
