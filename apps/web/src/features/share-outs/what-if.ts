interface OfDish {
  recipeId: string;
  name: string;
  portions: number;
}

/** Portions of each dish that a household would get more (or, negative, fewer) of, by name; dishes that stay the same are left out. */
export function differenceOf(
  before: readonly OfDish[],
  after: readonly OfDish[],
): { recipeId: string; name: string; by: number }[] {
  const dishes = new Map([...before, ...after].map(({ recipeId, name }) => [recipeId, name]));
  const portionsIn = (them: readonly OfDish[], id: string): number =>
    them.find(({ recipeId }) => recipeId === id)?.portions ?? 0;
  return [...dishes]
    .map(([recipeId, name]) => ({ recipeId, name, by: portionsIn(after, recipeId) - portionsIn(before, recipeId) }))
    .filter(({ by }) => by !== 0)
    .sort((a, b) => a.name.localeCompare(b.name));
}
