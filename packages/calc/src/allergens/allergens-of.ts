import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { recipeOrder } from '../recipes/recipe-order.ts';
import { allergenRows, groupsOf, isOtherAllergen } from './allergen-table.ts';
import { dietRows } from './diets.ts';
import type { Declared, Standing } from './restriction.ts';
import { graver, standingOf } from './restriction.ts';

/** A recipe for this purpose: what is in it, and allergens that its author adds by hand (a fryer shared with fish). */
export interface AllergenRecipe {
  id: string;
  lines: readonly ({ recipe: string } | { item: string })[];
  added?: readonly string[];
}

/** What a dish is known to contain and for whom it is unfit; every list sorted. */
export interface DishAllergens {
  /** As declared, without groups that merely follow from a member. */
  declared: string[];
  /** The same with their groups, for a label: barley brings gluten. */
  withGroups: string[];
  /** Every allergen and diet whose bearer must not eat it. */
  unfitFor: string[];
  /** Every allergen of the list of which at least one ingredient says neither that it contains it nor that it is free from it. */
  notDeclared: string[];
}

const sorted = (ids: Iterable<string>): string[] => [...new Set(ids)].sort(byCodeUnits);

function ingredientsOf(
  dish: string,
  recipes: ReadonlyMap<string, AllergenRecipe>,
): { items: Set<string>; added: Set<string> } {
  const inside = new Map<string, string[]>();
  const open = [dish];
  const items = new Set<string>();
  const added = new Set<string>();
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (inside.has(id)) continue;
    const recipe = recipes.get(id);
    if (!recipe) throw new DomainError('unknown-recipe', `There is no recipe ${id.slice(0, 120)}.`);
    const components = recipe.lines.flatMap((line) => ('recipe' in line ? [line.recipe] : []));
    inside.set(id, components);
    open.push(...components);
    for (const line of recipe.lines) if ('item' in line) items.add(line.item);
    for (const allergen of recipe.added ?? []) added.add(allergen);
  }
  recipeOrder(inside);
  return { items, added };
}

/**
 * What a dish contains, through all its components, and for whom it is unfit.
 * Method: every restriction is judged on each ingredient by itself and the gravest standing counts, because a group that one ingredient leaves open
 * is not resolved by another's member. `dish`: recipe id; `recipes`: every recipe inside it by id; `ingredients`: what is declared of each, one
 * that is missing has declared nothing. Throws `unknown-recipe`, `recipe-cycle` and `too-deep`.
 */
export function allergensOf(
  dish: string,
  recipes: ReadonlyMap<string, AllergenRecipe>,
  ingredients: ReadonlyMap<string, Declared>,
): DishAllergens {
  const { items, added } = ingredientsOf(dish, recipes);
  const parts: Declared[] = [...items].map((item) => ingredients.get(item) ?? { allergens: [] });
  // What an author adds by hand is declared on its own and says nothing about the ingredients.
  const all = [...parts, ...[...added].map((allergen): Declared => ({ allergens: [allergen] }))];
  const declared = sorted(all.flatMap(({ allergens }) => allergens));
  const judged = (restriction: string, among: readonly Declared[]): Standing =>
    among.map((part) => standingOf(restriction, part)).reduce(graver, 'free');
  const others = declared.filter(isOtherAllergen);
  const restrictions = [...allergenRows.map(({ id }) => id), ...others, ...dietRows.map(({ id }) => id)];
  const unfitFor = restrictions.filter((id) => ['contains', 'may-contain'].includes(judged(id, all)));
  const openOnSome = (id: string): boolean => parts.some((part) => standingOf(id, part) === 'not-declared');
  return {
    declared,
    withGroups: sorted(declared.flatMap((id) => [id, ...groupsOf(id)])),
    unfitFor: sorted(unfitFor),
    notDeclared: sorted(allergenRows.map(({ id }) => id).filter((id) => !unfitFor.includes(id) && openOnSome(id))),
  };
}
