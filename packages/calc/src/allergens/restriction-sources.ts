import type { AllergenRecipe } from './allergens-of.ts';
import type { Declared } from './restriction.ts';
import { conflicts } from './restriction.ts';

/** An ingredient that brings what is restricted, and the recipes that it comes through, from the dish's own component inwards; none where the dish names it itself. */
export interface RestrictionSource {
  item: string;
  through: string[];
}

/**
 * Which lines of a dish bring what somebody must not eat, through all its components.
 * Method: every ingredient judged by itself (conflicts), the shortest way to it first, in the order of the recipe's lines. `dish`: recipe id;
 * `recipes`, `ingredients`: as for allergensOf. Empty when only an author's own addition brings it. Every ingredient once.
 */
export function restrictionSources(
  dish: string,
  recipes: ReadonlyMap<string, AllergenRecipe>,
  ingredients: ReadonlyMap<string, Declared>,
  restriction: string,
): RestrictionSource[] {
  const found = new Map<string, RestrictionSource>();
  const seen = new Set<string>();
  let open: { id: string; through: string[] }[] = [{ id: dish, through: [] }];
  while (open.length > 0) {
    const deeper: typeof open = [];
    for (const { id, through } of open) {
      if (seen.has(id)) continue;
      seen.add(id);
      for (const line of recipes.get(id)?.lines ?? []) {
        if ('recipe' in line) deeper.push({ id: line.recipe, through: [...through, line.recipe] });
        else if (!found.has(line.item) && conflicts(restriction, ingredients.get(line.item) ?? { allergens: [] })) {
          found.set(line.item, { item: line.item, through });
        }
      }
    }
    open = deeper;
  }
  return [...found.values()];
}
