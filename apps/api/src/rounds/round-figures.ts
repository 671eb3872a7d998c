import { participantsOn, rational, wholeDishCosts, dishCosts } from '@frostmoot/calc';
import type { Rational, RoundState } from '@frostmoot/calc';
import type { participant, roundDish } from '@frostmoot/contract';
import type { z } from 'zod';
import type { RoundPlan } from '../buying/round-plan.service.ts';
import { billOf } from '../buying/round-plan.service.ts';
import type { BatchRow } from '../kitchen/batches.repository.ts';
import { containersOf } from '../recipes/recipe-answers.ts';
import type { DishRow } from './dishes.repository.ts';
import type { EatingHousehold, RoundParticipantRow } from './participants.repository.ts';
import type { RoundRow } from './rounds.repository.ts';

const whole = (count: number): Rational => rational.rational(BigInt(count));

/** A round is planned for those who are in it when it is shared out. */
export const planningDay = (round: RoundRow, today: string): string => (round.shareOn > today ? round.shareOn : today);

export interface Eaters {
  present: RoundParticipantRow[];
  headcount: number;
  totalWeight: Rational;
  portionsWanted: Rational;
}

/** Who eats on a day: heads, weights and the portions that they should get. Who has left keeps its row and counts nothing. */
export function eatersOn(rows: readonly RoundParticipantRow[], day: string, dinners: number): Eaters {
  const present = participantsOn(rows, day);
  const eating = present.filter(({ weight }) => !rational.isZero(rational.parse(weight)));
  const totalWeight = rational.sum(eating.map(({ weight }) => rational.parse(weight)));
  return {
    present,
    headcount: eating.reduce((sum, { diners }) => sum + diners, 0),
    totalWeight,
    portionsWanted: rational.mul(totalWeight, whole(dinners)),
  };
}

/** Every household of the round with its latest row, and the weights that it had before. */
export function participantAnswers(
  rows: readonly RoundParticipantRow[],
  dinners: number,
): z.infer<typeof participant>[] {
  const byHousehold = new Map<string, RoundParticipantRow[]>();
  for (const row of rows) byHousehold.set(row.householdId, [...(byHousehold.get(row.householdId) ?? []), row]);
  return [...byHousehold.values()].flatMap((own) => {
    const latest = own.at(-1);
    if (!latest) return [];
    const { householdId, name, weight, diners, fromDate, reason } = latest;
    return {
      household: { id: householdId, name },
      weight,
      diners,
      fromDate,
      reason,
      portionsWanted: rational.format(rational.mul(rational.parse(weight), whole(dinners))),
      earlier: own.slice(0, -1).map((row) => ({ fromDate: row.fromDate, weight: row.weight })),
    };
  });
}

export const portionsOf = ({ batches, portionsPerBatch }: DishRow): number => batches * portionsPerBatch;

/** The dishes with what each costs; their costs sum to the round's. */
export function dishAnswers(round: RoundRow, plan: RoundPlan): z.infer<typeof roundDish>[] {
  const { goodsMinor, feesMinor } = billOf(plan);
  const exact = dishCosts({
    goodsMinor,
    feesMinor,
    dishes: plan.dishes.map((dish) => ({
      id: dish.id,
      portions: portionsOf(dish),
      needs: plan.needs.byDish.get(dish.id) ?? new Map<string, Rational>(),
    })),
  });
  const minor = wholeDishCosts(exact, `round ${round.id}`);
  return plan.dishes.map((dish) => {
    const cost = exact.get(dish.id) ?? null;
    return {
      id: dish.id,
      recipeId: dish.version.recipe.id,
      recipeVersionId: dish.version.id,
      name: dish.version.recipe.name,
      batches: dish.batches,
      portionsPerBatch: dish.portionsPerBatch,
      portions: portionsOf(dish),
      containerPlan: containersOf(dish.version),
      allergens: dish.version.allergens,
      costMinor: minor.get(dish.id)?.toString() ?? null,
      costPerPortionMinor: cost === null ? null : perPortion(cost, portionsOf(dish)),
    };
  });
}

/** Costs by portion are shown, not booked. */
export function perPortion(cost: Rational, portions: number): string | null {
  if (portions === 0) return null;
  return rational.shown(rational.div(cost, whole(portions)));
}

/** Millilitres that still need a place: planned containers of batches to come, sealed ones that nobody holds yet. */
export function freezerNeededMl(dishes: readonly DishRow[], batches: readonly BatchRow[]): number {
  const plannedMl = (dish: DishRow): number =>
    containersOf(dish.version).reduce((sum, { count, millilitres }) => sum + count * (millilitres ?? 0), 0);
  if (batches.length === 0) return dishes.reduce((sum, dish) => sum + dish.batches * plannedMl(dish), 0);
  const byVersion = new Map(dishes.map((dish) => [dish.version.id, plannedMl(dish)]));
  return batches.reduce((sum, { state, recipeVersionId, containers }) => {
    if (state === 'planned') return sum + (byVersion.get(recipeVersionId) ?? 0);
    const waiting = containers.filter((each) => each.state === 'sealed' && each.holderHouseholdId === null);
    return sum + waiting.reduce((ml, { millilitres }) => ml + (millilitres ?? 0), 0);
  }, 0);
}

/** Room in the freezers of those who take part; a freezer that is fuller than its size gives none. `known`: whether everybody's size is. */
export function freezerFree(
  households: readonly EatingHousehold[],
  present: readonly RoundParticipantRow[],
  heldMl: ReadonlyMap<string, number>,
): { freeMl: number; known: boolean } {
  const eating = new Set(
    present.filter(({ weight }) => !rational.isZero(rational.parse(weight))).map(({ householdId }) => householdId),
  );
  const own = households.filter(({ id }) => eating.has(id));
  return {
    freeMl: own.reduce((sum, { id, freezerMl }) => sum + Math.max(0, (freezerMl ?? 0) - (heldMl.get(id) ?? 0)), 0),
    known: own.every(({ freezerMl }) => freezerMl !== null),
  };
}

/** The dishes as the open points see them. */
export const dishStates = (dishes: readonly DishRow[], batchMore: ReadonlyMap<string, bigint>): RoundState['dishes'] =>
  dishes.map(({ id, batches, portionsPerBatch, version }) => ({
    id,
    recipeId: version.recipe.id,
    name: version.recipe.name,
    batches,
    portionsPerBatch,
    unfitFor: version.unfitFor,
    batchMoreMinor: batchMore.get(id) ?? null,
  }));
