import { Injectable } from '@nestjs/common';
import { DomainError, familiarUnitName, scale } from '@frostmoot/calc';
import type { Measures } from '@frostmoot/calc';
import type { scaledRecipe } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { CooperativeSettings } from './cooperative-settings.ts';
import type { RecipeGraph, VersionRow } from './recipe-graph.repository.ts';
import { RecipeGraphRepository } from './recipe-graph.repository.ts';
import { RecipesRepository } from './recipes.repository.ts';

export type ScaledLine = z.infer<typeof scaledRecipe>['lines'][number];

@Injectable()
export class ScalingService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rows: RecipesRepository,
    private readonly graphs: RecipeGraphRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  scaled(actor: Actor, recipeId: string, portions: string, number?: number): Promise<z.infer<typeof scaledRecipe>> {
    return this.work.read(actor, async (tx) => {
      const { measures } = await this.settings.of(tx, actor);
      const { versions } = await this.rows.find(tx, actor, recipeId);
      const chosen = number === undefined ? versions.at(-1) : versions.find((each) => each.number === number);
      const graph = await this.graphs.load(tx, actor, chosen ? [chosen.id] : []);
      const version = chosen && graph.versions.get(chosen.id);
      if (!version) throw new DomainError('not-found', 'There is no such version of this recipe');
      if (version.portions === null) {
        const detail = 'This is only ever a component and gives no portions; scale a dish that it goes into.';
        throw new DomainError('invalid-input', detail, { errors: [{ pointer: '#/portions', detail }] });
      }
      const { factor, lines } = scaledLines(version, graph, measures, `${version.portions}`, portions);
      return { recipeId, versionId: version.id, portions, factor, lines };
    });
  }
}

/** A version's lines at another yield, exact and in kitchen measures, in the order of the recipe. */
export function scaledLines(
  version: VersionRow,
  { versions, ingredients }: RecipeGraph,
  measures: Measures,
  from: string,
  to: string,
): { factor: string; lines: ScaledLine[] } {
  const units = version.lines.map(({ unit }) => familiarUnitName(unit, measures));
  const { factor, quantities } = scale({
    from: { portions: from },
    to: { portions: to },
    quantities: version.lines.map(({ quantity }, index) => ({ id: `${index}`, quantity, unit: units[index] })),
    measures,
  });
  const byLine = new Map(quantities.map((quantity) => [quantity.id, quantity]));
  const lines = version.lines.map((line, index) => {
    const { exact = line.quantity, say = '' } = byLine.get(`${index}`) ?? {};
    const ingredient = ingredients.get(line.ingredientId ?? '');
    const component = versions.get(line.componentVersionId ?? '');
    const name = ingredient?.name ?? component?.recipe.name ?? '';
    return { name, exact, unit: units[index] ?? line.unit, say, note: line.note };
  });
  return { factor, lines };
}
