import type { InputFault } from '../domain-error.ts';
import type { Of, Read } from '../input.ts';
import {
  distinctIds,
  id,
  integer,
  invalidInput,
  list,
  notNegative,
  optional,
  rational,
  readInput,
  record,
  refine,
} from '../input.ts';
import type { Rational } from '../rational.ts';
import { cmp, isInteger, mul, rational as fraction, zero } from '../rational.ts';

/** A week to be cooked in: how many cook, what, and for how many millilitres there must be pots. */
export interface RotaWeek {
  id: string;
  team: number;
  potMl: number;
  dishes: readonly string[];
}

/** Who may cook: headcount weight, turns owed from before, and what limits its turns. */
export interface RotaHousehold {
  id: string;
  weight: Rational;
  owedTurns: Rational;
  away: ReadonlySet<string>;
  skills: ReadonlySet<string>;
  potMl: number;
  /** so many weeks at least lie between two of its turns */
  minGap: number;
}

export interface Turn {
  week: string;
  household: string;
}

export interface RotaInput {
  weeks: readonly RotaWeek[];
  households: readonly RotaHousehold[];
  kept: readonly Turn[];
}

const mostLitres = fraction(100_000n);
const perLitre = fraction(1000n);

/** Litres as whole millilitres, so that pots can be summed exactly. */
const litres: Read<number> = refine(notNegative(), (value, place) => {
  const ml = mul(value, perLitre);
  if (!isInteger(ml) || cmp(value, mostLitres) > 0) {
    return place.fault('Must be litres in whole millilitres, such as "7.5", at most 100000.');
  }
  return Number(ml.n);
});

const names = (longest: number) => optional(list(id(), { longest }));
const week = record({ id: id(), team: integer(0, 50), litres: optional(litres), dishes: names(50) });
const household = record({
  id: id(),
  weight: notNegative(),
  owedTurns: optional(rational()),
  away: names(520),
  skills: names(1000),
  potLitres: optional(litres),
  minGap: optional(integer(0, 520)),
});
const shape = record({
  weeks: distinctIds(list(week, { longest: 520 }), (member) => member.id),
  households: distinctIds(list(household, { longest: 200 }), (member) => member.id),
  kept: optional(list(record({ week: id(), household: id() }), { longest: 10_000 })),
});

type Raw = Of<typeof shape>;

function faultsOfKept({ weeks, households, kept = [] }: Raw): InputFault[] {
  const left = new Map(weeks.map((member) => [member.id, member.team]));
  const known = new Set(households.map((member) => member.id));
  const seen = new Set<string>();
  return kept.flatMap((turn, index): InputFault[] => {
    const at = (key: string, detail: string): InputFault[] => [{ pointer: `#/kept/${index}/${key}`, detail }];
    const room = left.get(turn.week);
    if (room === undefined) return at('week', 'There is no such week.');
    if (!known.has(turn.household)) return at('household', 'There is no such household.');
    const key = JSON.stringify([turn.week, turn.household]);
    if (seen.has(key)) return at('household', 'This turn is given twice.');
    seen.add(key);
    left.set(turn.week, room - 1);
    return room > 0 ? [] : at('week', 'More turns are kept than the week has cooks.');
  });
}

/**
 * Reads the JSON of a rota (`{weeks, households, kept?}`). Weeks follow one another in the order of their ids, so ids are such as sort in time (`2026-W05`,
 * a date). A week that a household is away in, or a dish that it can make, need not occur. Throws `invalid-input` with every fault: what has the wrong
 * shape, ids given twice, kept turns of nobody or beyond the team.
 */
export function readRota(given: unknown): RotaInput {
  const raw = readInput(shape, given);
  const faults = faultsOfKept(raw);
  if (faults.length > 0) throw invalidInput(faults.slice(0, 100));
  return {
    weeks: raw.weeks.map((member) => ({
      id: member.id,
      team: member.team,
      potMl: member.litres ?? 0,
      dishes: [...new Set(member.dishes)],
    })),
    households: raw.households.map((member) => ({
      id: member.id,
      weight: member.weight,
      owedTurns: member.owedTurns ?? zero,
      away: new Set(member.away),
      skills: new Set(member.skills),
      potMl: member.potLitres ?? 0,
      minGap: member.minGap ?? 0,
    })),
    kept: raw.kept ?? [],
  };
}
