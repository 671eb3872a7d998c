import type { RecipeSummary } from '../../lib/recipe-queries.ts';

const plain = (text: string): string => text.normalize('NFD').replace(/\p{M}/gu, '').toLocaleLowerCase();

/** Recipes in whose name, parts or users every word occurs (accents aside) and which do not declare the allergen. */
export function findRecipes(recipes: readonly RecipeSummary[], find: string, withoutAllergen: string): RecipeSummary[] {
  const words = plain(find).split(/\s+/).filter(Boolean);
  return recipes.filter(({ name, components, usedIn, allergens }) => {
    const text = plain([name, ...components, ...usedIn].join(' '));
    return (
      words.every((word) => text.includes(word)) && !(withoutAllergen !== '' && allergens.includes(withoutAllergen))
    );
  });
}
