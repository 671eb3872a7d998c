import { mondayOf, rational, weeksToFill } from '@frostmoot/calc';
import type { WeekToFill } from '@frostmoot/calc';
import type { proposeRota } from '@frostmoot/contract';
import type { z } from 'zod';
import { millilitresFor, potMillilitres } from './pots.ts';

export interface Dish {
  id: string;
  /** exact litres, as text */
  potLitres: string | null;
}
export interface RoundDish {
  cookOn: string;
  recipeId: string;
  potLitres: string | null;
}

/** The weeks that were asked for, each with its dishes (as typed, else those of its round) and the pots that one batch of each needs side by side. */
export function weekPlans(
  { plans, ...asked }: z.infer<typeof proposeRota>,
  rounds: readonly RoundDish[],
  recipes: ReadonlyMap<string, Dish>,
): WeekToFill[] {
  const typed = new Map(plans.map((plan, index) => [mondayOf(plan.weekOf), { ...plan, index }]));
  const weeks = weeksToFill(asked).map((week): WeekToFill => {
    const plan = typed.get(week.weekOf);
    const cooked = rounds.filter(({ cookOn }) => mondayOf(cookOn) === week.weekOf);
    const dishes = plan?.recipeIds
      ? plan.recipeIds.map((id) => ({ recipeId: id, potLitres: recipes.get(id)?.potLitres ?? null }))
      : cooked;
    const needed = dishes.reduce((sum, { potLitres }) => sum + (potLitres === null ? 0 : millilitresFor(potLitres)), 0);
    return {
      weekOf: week.weekOf,
      team: plan?.team ?? week.team,
      dishes: [...new Set(dishes.map(({ recipeId }) => recipeId))],
      potMl:
        plan?.potLitres === undefined
          ? needed
          : potMillilitres(rational.parse(plan.potLitres), `#/plans/${plan.index}/potLitres`),
    };
  });
  return weeks.map((week) => (week.team === 0 ? { ...week, dishes: [], potMl: 0 } : week));
}
