import { Injectable } from '@nestjs/common';
import { restrictionSources } from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { allergenRecipe, declaredBy, RecipeGraphRepository } from '../recipes/recipe-graph.repository.ts';

/** Says which ingredient of a container, through which components, brings what somebody must not eat. */
@Injectable()
export class UnfitBecause {
  constructor(private readonly graph: RecipeGraphRepository) {}

  /** "Plain flour (Shortcrust pastry)", names only, so that it needs no language; empty when no ingredient that is written down brings it. */
  async ingredients(tx: Tx, scope: Scope, containerId: string, subjects: readonly string[]): Promise<string> {
    const { cooperativeId } = scope;
    const container = await tx.container.findUnique({
      where: { cooperativeId_id: { cooperativeId, id: containerId } },
      select: { batch: { select: { recipeVersionId: true } } },
    });
    if (!container) return '';
    const dish = container.batch.recipeVersionId;
    const { versions, ingredients } = await this.graph.load(tx, scope, [dish]);
    const recipes = new Map([...versions].map(([id, { lines }]) => [id, allergenRecipe(id, lines)]));
    const declared = declaredBy(ingredients.values());
    const named = subjects
      .flatMap((subject) => restrictionSources(dish, recipes, declared, subject))
      .map(({ item, through }) => {
        const inside = through.map((id) => versions.get(id)?.recipe.name ?? '').join(', ');
        return `${ingredients.get(item)?.name ?? ''}${inside === '' ? '' : ` (${inside})`}`;
      });
    return [...new Set(named)].join(', ');
  }
}
