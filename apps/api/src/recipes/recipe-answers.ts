import type { Measures } from '@frostmoot/calc';
import { familiarUnitName } from '@frostmoot/calc';
import type { containerPlan, recipe, recipeSummary, recipeVersion } from '@frostmoot/contract';
import type { z } from 'zod';
import type { RecipeGraph, VersionRow } from './recipe-graph.repository.ts';
import { notDeclaredIn } from './recipe-graph.repository.ts';

export type RecipeAnswer = z.infer<typeof recipe>;
export type VersionAnswer = z.infer<typeof recipeVersion>;
type Summary = z.infer<typeof recipeSummary>;

export const containersOf = (version: Pick<VersionRow, 'containerPlan'>): z.infer<typeof containerPlan>[] =>
  version.containerPlan as z.infer<typeof containerPlan>[];

type Step = VersionAnswer['steps'][number];

/** What a step of an earlier time does not say. */
const unsaid = { place: 'table', hands: 1, potLitres: null, after: null, base: false, thawKilograms: null } as const;

export const stepsOf = (version: Pick<VersionRow, 'steps'>): Step[] =>
  (version.steps as (Partial<Step> & Pick<Step, 'words' | 'activeMinutes' | 'passiveMinutes'>)[]).map((step) => ({
    ...unsaid,
    ...step,
  }));

function lineAnswers(version: VersionRow, graph: RecipeGraph, measures: Measures): VersionAnswer['lines'] {
  return version.lines.map((line) => {
    const ingredient = line.ingredientId === null ? undefined : graph.ingredients.get(line.ingredientId);
    const component = line.componentVersionId === null ? undefined : graph.versions.get(line.componentVersionId);
    return {
      ingredient: ingredient ? { id: ingredient.id, name: ingredient.name } : null,
      component: component
        ? { versionId: component.id, recipeId: component.recipe.id, name: component.recipe.name }
        : null,
      quantity: line.quantity,
      unit: familiarUnitName(line.unit, measures),
      edibleYield: line.edibleYield,
      note: line.note,
    };
  });
}

export function versionAnswer(version: VersionRow, graph: RecipeGraph, measures: Measures): VersionAnswer {
  return {
    id: version.id,
    number: version.number,
    makes: { quantity: version.makes.quantity, unit: familiarUnitName(version.makes.unit, measures) },
    portions: version.portions,
    containerPlan: containersOf(version),
    months: version.months,
    monthsSource: version.monthsSource,
    potLitres: version.potLitres,
    notes: version.notes,
    steps: stepsOf(version),
    allergens: version.allergens,
    notDeclared: notDeclaredIn(version.id, graph),
    unfitFor: version.unfitFor,
    declaredLater: version.declaredLater.map(({ ingredient, allergens, unfitFor, createdAt }) => ({
      ingredient: ingredient.name,
      allergens,
      unfitFor,
      since: createdAt.toISOString(),
    })),
    lines: lineAnswers(version, graph, measures),
    createdAt: version.createdAt.toISOString(),
  };
}

/** Names of what a version is made of, ingredient or component, direct lines only. */
const partNames = (version: VersionRow, graph: RecipeGraph): { components: string[]; ingredients: string[] } => ({
  components: unique(
    version.lines.flatMap((line) => graph.versions.get(line.componentVersionId ?? '')?.recipe.name ?? []),
  ),
  ingredients: unique(version.lines.flatMap((line) => graph.ingredients.get(line.ingredientId ?? '')?.name ?? [])),
});

const unique = (names: readonly string[]): string[] => [...new Set(names)].sort((a, b) => a.localeCompare(b));

/** One row for each recipe's newest version, with what it is used in and made of. */
export function summaries(current: readonly VersionRow[], graph: RecipeGraph): (Summary & { searched: string })[] {
  const parts = new Map(current.map((version) => [version.id, partNames(version, graph)]));
  return current.map((version) => {
    const { id, name } = version.recipe;
    const made = parts.get(version.id) ?? { components: [], ingredients: [] };
    const usedIn = current.filter((other) => parts.get(other.id)?.components.includes(name));
    return {
      id,
      name,
      versionId: version.id,
      versionNumber: version.number,
      portions: version.portions,
      containerPlan: containersOf(version),
      allergens: version.allergens,
      months: version.months,
      usedIn: usedIn.map((other) => other.recipe.name),
      components: made.components,
      searched: [name, ...made.components, ...made.ingredients].join('\n').toLowerCase(),
    };
  });
}
