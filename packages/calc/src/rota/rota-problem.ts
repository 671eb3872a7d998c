import { drawOrder } from '../allocation/draw.ts';
import { byCodeUnits } from '../canonical.ts';
import type { RotaHousehold, RotaInput, RotaWeek } from './rota-input.ts';

/** A dish of a week that somebody of the team must be able to make. */
export interface Demand {
  week: number;
  dish: string;
}

/** A rota with numbers for names: weeks in time, households in an order drawn by lot. A pair (household, week) has the number household x weeks + week. */
export interface RotaProblem {
  weeks: readonly RotaWeek[];
  households: readonly RotaHousehold[];
  away: Uint8Array;
  kept: Uint8Array;
  demands: readonly Demand[];
  /** the demands that a household meets when it cooks in that week, by pair */
  meets: readonly (readonly number[])[];
  /** the households that meet each demand */
  cooksOf: readonly (readonly number[])[];
  /** the demands of each week */
  demandsIn: readonly (readonly number[])[];
}

/**
 * Numbers for a rota. There is no seed in it, and none is needed: who comes first among equals is drawn from the ids of the weeks, so another stretch of
 * weeks draws anew and nobody is favoured for ever.
 */
export function rotaProblem(input: RotaInput): RotaProblem {
  const weeks = [...input.weeks].sort((a, b) => byCodeUnits(a.id, b.id));
  const byId = new Map(input.households.map((household) => [household.id, household]));
  const seed = JSON.stringify(['rota', ...weeks.map(({ id }) => id)]);
  const households = drawOrder(seed, byId.keys()).flatMap((id) => byId.get(id) ?? []);
  const pairs = households.length * weeks.length;
  const away = new Uint8Array(pairs);
  const kept = new Uint8Array(pairs);
  const keptTurns = new Set(input.kept.map((turn) => JSON.stringify([turn.week, turn.household])));
  const demands = weeks.flatMap(({ dishes }, week) =>
    [...dishes].sort(byCodeUnits).map((dish): Demand => ({ week, dish })),
  );
  const demandsIn: number[][] = weeks.map(() => []);
  demands.forEach(({ week }, demand) => demandsIn[week]?.push(demand));
  const meets: number[][] = [];
  households.forEach((household, h) =>
    weeks.forEach(({ id }, w) => {
      const pair = h * weeks.length + w;
      if (household.away.has(id)) away[pair] = 1;
      if (keptTurns.has(JSON.stringify([id, household.id]))) kept[pair] = 1;
      meets.push((demandsIn[w] ?? []).filter((demand) => household.skills.has(demands[demand]?.dish ?? '')));
    }),
  );
  const cooksOf = demands.map(({ dish }) => households.flatMap(({ skills }, h) => (skills.has(dish) ? [h] : [])));
  return { weeks, households, away, kept, demands, meets, cooksOf, demandsIn };
}
