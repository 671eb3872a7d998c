import { Injectable } from '@nestjs/common';
import type { AllergenRecipe, Declared, KeptIngredient } from '@frostmoot/calc';
import { ownDensity } from '@frostmoot/calc';
import type { Prisma } from '../generated/prisma/client.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import type { IngredientRow } from './ingredients.repository.ts';
import { IngredientsRepository } from './ingredients.repository.ts';

const withLines = {
  recipe: { select: { id: true, name: true } },
  lines: { orderBy: { position: 'asc' } },
  declaredLater: {
    select: { allergens: true, unfitFor: true, createdAt: true, ingredient: { select: { name: true } } },
    orderBy: [{ createdAt: 'asc' }, { id: 'asc' }],
  },
} satisfies Prisma.RecipeVersionInclude;

export type VersionRow = Prisma.RecipeVersionGetPayload<{ include: typeof withLines }> & {
  makes: { quantity: string; unit: string };
};

/** Versions with everything inside them, and the ingredients that they name. */
export interface RecipeGraph {
  versions: Map<string, VersionRow>;
  ingredients: Map<string, IngredientRow>;
}

/** Reads recipes with all that is in them, however deep. */
@Injectable()
export class RecipeGraphRepository {
  constructor(private readonly ingredients: IngredientsRepository) {}

  /** The versions that are there of those asked for, and all that they reach; one statement for each level, of which there are at most eight. */
  async load(tx: Tx, scope: Scope, versionIds: readonly string[]): Promise<RecipeGraph> {
    const { cooperativeId } = scope;
    const versions = new Map<string, VersionRow>();
    let open = [...new Set(versionIds)];
    while (open.length > 0) {
      const rows = await tx.recipeVersion.findMany({
        where: { cooperativeId, id: { in: open } },
        include: withLines,
      });
      for (const row of rows) {
        versions.set(row.id, { ...row, makes: { quantity: row.makesQuantity, unit: row.makesUnit } });
      }
      const inside = rows.flatMap(({ lines }) => lines.flatMap((line) => line.componentVersionId ?? []));
      open = [...new Set(inside)].filter((id) => !versions.has(id));
    }
    const named = [...versions.values()].flatMap(({ lines }) => lines.flatMap((line) => line.ingredientId ?? []));
    const rows = await this.ingredients.byIds(tx, scope, named);
    return { versions, ingredients: new Map(rows.map((row) => [row.id, row])) };
  }
}

/** Ingredients as the calculations take them. */
export const keptIngredients = (rows: Iterable<IngredientRow>): Map<string, KeptIngredient> =>
  new Map(
    [...rows].map(({ id, name, baseUnit, density, densitySource }) => [
      id,
      { id, baseUnit, density: ownDensity(name, density, densitySource) },
    ]),
  );

export const declaredBy = (rows: Iterable<IngredientRow>): Map<string, Declared> =>
  new Map([...rows].map(({ id, allergens, freeOf, tags }) => [id, { allergens, freeOf, tags }]));

type AnyLine = { ingredientId: string | null; componentVersionId: string | null };

/** A version's lines as the derivation of allergens takes them. */
export const allergenRecipe = (id: string, lines: readonly AnyLine[]): AllergenRecipe => ({
  id,
  lines: lines.map(({ ingredientId, componentVersionId }) =>
    ingredientId === null ? { recipe: componentVersionId ?? '' } : { item: ingredientId },
  ),
});

/** Names of the ingredients inside a version that say of no allergen whether they contain it. */
export function notDeclaredIn(versionId: string, { versions, ingredients }: RecipeGraph): string[] {
  const names = new Set<string>();
  const open = [versionId];
  const seen = new Set<string>();
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (seen.has(id)) continue;
    seen.add(id);
    for (const { ingredientId, componentVersionId } of versions.get(id)?.lines ?? []) {
      if (componentVersionId !== null) open.push(componentVersionId);
      const ingredient = ingredientId === null ? undefined : ingredients.get(ingredientId);
      if (ingredient && ingredient.allergens.length + ingredient.freeOf.length === 0) names.add(ingredient.name);
    }
  }
  return [...names].sort((a, b) => a.localeCompare(b));
}
