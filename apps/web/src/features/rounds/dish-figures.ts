import { rational } from '@frostmoot/calc';
import type { Round } from '../../lib/round-stage.ts';

/** What is known of each recipe of the plan: from the round, and for a dish just added from the list of recipes. */
export function portionsPerBatch(
  round: Pick<Round, 'dishes'>,
  recipes: readonly { id: string; portions: number | null }[],
): (recipeId: string) => number {
  const known = new Map(recipes.map(({ id, portions }) => [id, portions ?? 0]));
  for (const dish of round.dishes) known.set(dish.recipeId, dish.portionsPerBatch);
  return (recipeId) => known.get(recipeId) ?? 0;
}

/** An exact number of minor units as whole ones, a half up, for showing. */
export const wholeMinor = (exact: string): string => rational.round(rational.parse(exact)).toString();
