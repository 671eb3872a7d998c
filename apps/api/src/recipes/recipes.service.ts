import { Injectable } from '@nestjs/common';
import { allergensOf, checkNesting, checkVersion, DomainError, ownDensity, rational } from '@frostmoot/calc';
import type { createRecipe, recipeList, saveRecipeVersion } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import type { Settings } from './cooperative-settings.ts';
import { CooperativeSettings } from './cooperative-settings.ts';
import { IngredientsRepository } from './ingredients.repository.ts';
import type { RecipeAnswer } from './recipe-answers.ts';
import { summaries, versionAnswer } from './recipe-answers.ts';
import type { RecipeGraph } from './recipe-graph.repository.ts';
import { allergenRecipe, declaredBy, RecipeGraphRepository } from './recipe-graph.repository.ts';
import type { NewVersion } from './recipes.repository.ts';
import { RecipesRepository } from './recipes.repository.ts';

type Typed = z.infer<typeof saveRecipeVersion>;

@Injectable()
export class RecipesService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rows: RecipesRepository,
    private readonly graphs: RecipeGraphRepository,
    private readonly ingredients: IngredientsRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  list(actor: Actor, search: string): Promise<z.infer<typeof recipeList>> {
    return this.work.read(actor, async (tx) => {
      const recipes = await this.rows.list(tx, actor);
      const newest = recipes.flatMap(({ versions }) => versions.at(-1)?.id ?? []);
      const graph = await this.graphs.load(tx, actor, newest);
      const current = newest.flatMap((id) => graph.versions.get(id) ?? []);
      const wanted = search.trim().toLowerCase();
      return { items: summaries(current, graph).filter(({ searched }) => searched.includes(wanted)) };
    });
  }

  find(actor: Actor, recipeId: string, number?: number): Promise<RecipeAnswer> {
    return this.work.read(actor, (tx) => this.answer(tx, actor, recipeId, number));
  }

  create(actor: Actor, { name, ...typed }: z.infer<typeof createRecipe>): Promise<RecipeAnswer> {
    return this.work.write(actor, async (tx) => {
      const version = await this.checked(tx, actor, name, typed);
      const { id } = await this.rows.create(tx, actor, name);
      await this.rows.addVersion(tx, actor, id, 1, version);
      await tell(tx, actor, 'recipes', id);
      return this.answer(tx, actor, id);
    });
  }

  saveVersion(actor: Actor, recipeId: string, version: number, typed: Typed): Promise<RecipeAnswer> {
    return this.work.write(actor, async (tx) => {
      const before = await this.rows.find(tx, actor, recipeId);
      const next = await this.checked(tx, actor, before.name, typed);
      if (!(await this.rows.bump(tx, actor, recipeId, version))) {
        throw new DomainError('precondition-failed', 'This recipe has changed since you read it');
      }
      const number = (before.versions.at(-1)?.number ?? 0) + 1;
      await this.rows.addVersion(tx, actor, recipeId, number, next);
      await tell(tx, actor, 'recipes', recipeId);
      return this.answer(tx, actor, recipeId);
    });
  }

  /** What was typed, checked against what it names, with units and allergens as they are kept. */
  private async checked(tx: Tx, actor: Actor, name: string, typed: Typed): Promise<NewVersion> {
    const settings = await this.settings.of(tx, actor);
    const graph = await this.graphs.load(
      tx,
      actor,
      typed.lines.flatMap((line) => line.componentVersionId ?? []),
    );
    // Those deep inside as well: what one of them is declared to contain meanwhile comes to this version too.
    const named = [...graph.ingredients.keys(), ...typed.lines.flatMap((line) => line.ingredientId ?? [])];
    for (const row of await this.ingredients.hold(tx, actor, named)) graph.ingredients.set(row.id, row);
    const { makesUnit, lineUnits } = checkVersion(typed, knownParts(graph), settings.measures);
    checkNesting(nesting(name, typed, graph));
    const recipes = [allergenRecipe('', typed.lines), ...[...graph.versions.values()].map(asAllergenRecipe)];
    const { withGroups, unfitFor } = allergensOf(
      '',
      new Map(recipes.map((recipe) => [recipe.id, recipe])),
      declaredBy(graph.ingredients.values()),
    );
    return {
      ...keptFields(typed),
      makesUnit,
      allergens: withGroups,
      unfitFor,
      lines: typed.lines.map((line, index) => ({
        ...line,
        quantity: inLowestTerms(line.quantity),
        edibleYield: line.edibleYield === null ? null : inLowestTerms(line.edibleYield),
        unit: lineUnits[index] ?? line.unit,
      })),
    };
  }

  private async answer(tx: Tx, actor: Actor, recipeId: string, number?: number): Promise<RecipeAnswer> {
    const settings: Settings = await this.settings.of(tx, actor);
    const { id, name, version, versions } = await this.rows.find(tx, actor, recipeId);
    const chosen = number === undefined ? versions.at(-1) : versions.find((each) => each.number === number);
    const graph = await this.graphs.load(tx, actor, chosen ? [chosen.id] : []);
    const current = chosen && graph.versions.get(chosen.id);
    if (!current) throw new DomainError('not-found', 'There is no such version of this recipe');
    return {
      id,
      name,
      version,
      current: versionAnswer(current, graph, settings.measures),
      versions: versions.map((each) => ({ ...each, createdAt: each.createdAt.toISOString() })),
    };
  }
}

const inLowestTerms = (text: string): string => rational.format(rational.parse(text));

const asAllergenRecipe = ({ id, lines }: { id: string; lines: Parameters<typeof allergenRecipe>[1] }) =>
  allergenRecipe(id, lines);

function keptFields(typed: Typed): Omit<NewVersion, 'makesUnit' | 'allergens' | 'unfitFor' | 'lines'> {
  const { makes, portions, containerPlan, months, monthsSource, potLitres, notes, steps } = typed;
  return {
    makesQuantity: inLowestTerms(makes.quantity),
    portions,
    containerPlan,
    months,
    monthsSource,
    potLitres: potLitres === null ? null : inLowestTerms(potLitres),
    notes,
    steps,
  };
}

const knownParts = ({ versions, ingredients }: RecipeGraph): Parameters<typeof checkVersion>[1] => ({
  ingredients: new Map(
    [...ingredients.values()].map(({ id, name, baseUnit, density, densitySource }) => [
      id,
      { baseUnit, density: ownDensity(name, density, densitySource) },
    ]),
  ),
  components: new Map([...versions.values()].map(({ id, makes }) => [id, { makesUnit: makes.unit }])),
});

/** Recipes by name with the names of those in them; the versions of one recipe count as that recipe, so that no recipe can come to contain an earlier self. */
function nesting(name: string, { lines }: Typed, { versions }: RecipeGraph): Map<string, string[]> {
  const nameOf = (versionId: string | null): string | never[] => versions.get(versionId ?? '')?.recipe.name ?? [];
  const inside = new Map<string, string[]>([[name, lines.flatMap((line) => nameOf(line.componentVersionId))]]);
  for (const version of versions.values()) {
    const known = inside.get(version.recipe.name) ?? [];
    inside.set(version.recipe.name, [...known, ...version.lines.flatMap((line) => nameOf(line.componentVersionId))]);
  }
  return inside;
}
