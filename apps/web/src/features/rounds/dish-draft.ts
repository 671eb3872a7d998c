import { rational } from '@frostmoot/calc';
import type { Round } from '../../lib/round-stage.ts';

/** The dishes of a plan as the person at the screen wants them: which recipe, how many batches. */
export interface WantedDish {
  recipeId: string;
  batches: number;
}

export const wantedOf = (round: Pick<Round, 'dishes'>): WantedDish[] =>
  round.dishes.map(({ recipeId, batches }) => ({ recipeId, batches }));

/** Sets a dish's batches; a dish that is new comes last, one with none goes. */
export function withBatches(dishes: readonly WantedDish[], recipeId: string, batches: number): WantedDish[] {
  const known = dishes.some((dish) => dish.recipeId === recipeId);
  const changed = known
    ? dishes.map((dish) => (dish.recipeId === recipeId ? { recipeId, batches } : dish))
    : [...dishes, { recipeId, batches }];
  return changed.filter((dish) => dish.batches > 0);
}

export const batchesOf = (dishes: readonly WantedDish[], recipeId: string): number =>
  dishes.find((dish) => dish.recipeId === recipeId)?.batches ?? 0;

/** Portions of a plan: batches times what one batch gives. */
export function plannedPortions(dishes: readonly WantedDish[], perBatch: (recipeId: string) => number): number {
  return dishes.reduce((total, dish) => total + dish.batches * perBatch(dish.recipeId), 0);
}

/** How a plan stands to what is wanted: portions short or over, or neither. */
export function againstWanted(planned: number, wanted: string): { kind: 'short' | 'over' | 'even'; by: string } {
  const difference = rational.sub(rational.rational(BigInt(planned)), rational.parse(wanted));
  const kind = ({ '-1': 'short', '0': 'even', '1': 'over' } as const)[rational.sign(difference)];
  return { kind, by: rational.format(rational.abs(difference)) };
}
