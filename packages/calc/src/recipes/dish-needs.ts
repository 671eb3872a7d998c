import { DomainError } from '../domain-error.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Density } from '../quantity/density.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { baseUnit, findUnit } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { add, div, format, isZero, mul, parse, rational, tryParse, zero } from '../rational.ts';
import { explode } from './explode.ts';

/** A version of a recipe as it is kept; units under their lasting names. */
export interface KeptVersion {
  id: string;
  makes: { quantity: string; unit: string };
  potLitres: string | null;
  lines: readonly {
    ingredientId: string | null;
    componentVersionId: string | null;
    quantity: string;
    unit: string;
    edibleYield: string | null;
  }[];
}

export interface KeptIngredient {
  id: string;
  /** g, mL or each */
  baseUnit: string;
  density?: Density;
}

export interface DishBatches {
  id: string;
  versionId: string;
  batches: number;
}

export interface NeedsOfDishes {
  /** ingredient to what all dishes take of it as purchased, in its base unit; nothing that is nil */
  total: Map<string, Rational>;
  /** dish to ingredient to what this dish takes */
  byDish: Map<string, Map<string, Rational>>;
  /** version to how much of it is made for all dishes, in the unit that it makes */
  makes: Map<string, { exact: Rational; unit: string; batches: number }>;
}

const unitOf = (name: string, measures: Measures): Unit => {
  const unit = findUnit(name, measures);
  if (!unit) throw new DomainError('unknown-unit', `There is no unit "${name}".`);
  return unit;
};

/** An exact figure of `explode`; one too long to be read back is refused, not cut. */
function exactly(text: string): Rational {
  const value = tryParse(text);
  if (!value) throw new DomainError('too-large', 'A quantity has more digits than can be kept exactly.');
  return value;
}

/** The recipes in the form of `explode`, each ingredient already in its base unit, so that its own density is used whatever its source. */
function recipesOf(
  versions: readonly KeptVersion[],
  ingredients: ReadonlyMap<string, KeptIngredient>,
  measures: Measures,
): { id: string }[] {
  return versions.map(({ id, makes, potLitres, lines }) => ({
    id,
    makes,
    // A pot's size says something about a recipe only where that is measured by volume.
    ...(potLitres !== null && unitOf(makes.unit, measures).dimension === 'volume' ? { potLitres } : {}),
    lines: lines.map(({ ingredientId, componentVersionId, quantity, unit, edibleYield }) => {
      const yields = edibleYield === null ? {} : { edibleYield };
      const ingredient = ingredientId === null ? undefined : ingredients.get(ingredientId);
      if (!ingredient) return { recipe: componentVersionId, quantity, unit, ...yields };
      const to = unitOf(ingredient.baseUnit, measures);
      const inBase = convertQuantity(parse(quantity), unitOf(unit, measures), to, ingredient.density);
      return { item: ingredient.id, quantity: format(inBase), unit: to.id, ...yields };
    }),
  }));
}

/**
 * What dishes take of every ingredient, and what must be made of every recipe in them; what several dishes need of a shared base is summed first.
 * Method: `explode`, once for all dishes together and once for each, which adds up because everything is exact and nothing is rounded.
 * `versions`: every version that the dishes reach; `ingredients`: all that they name. Throws as `explode` does, and `too-large`.
 */
export function needsOfDishes(
  versions: readonly KeptVersion[],
  ingredients: ReadonlyMap<string, KeptIngredient>,
  dishes: readonly DishBatches[],
  measures: Measures,
): NeedsOfDishes {
  const recipes = new Map(recipesOf(versions, ingredients, measures).map((recipe) => [recipe.id, recipe]));
  const inside = versionsInside(versions);
  const makesOf = new Map(versions.map(({ id, makes }) => [id, makes]));
  const wantedOf = ({ versionId, batches }: DishBatches): unknown[] => {
    const makes = makesOf.get(versionId);
    if (!makes) throw new DomainError('unknown-recipe', `There is no version ${versionId} of a recipe.`);
    const quantity = format(mul(parse(makes.quantity), rational(BigInt(batches))));
    return [{ recipe: versionId, quantity, unit: makes.unit }];
  };
  const needs = (some: readonly DishBatches[]): { needs: Map<string, Rational>; makes: NeedsOfDishes['makes'] } => {
    const reached = new Set(some.flatMap(({ versionId }) => [versionId, ...(inside.get(versionId) ?? [])]));
    const wanted = some.flatMap(wantedOf);
    const result = explode({ recipes: [...reached].flatMap((id) => recipes.get(id) ?? []), wanted, measures });
    const needed = Object.entries(result.needs).map(([id, { exact }]) => [id, exactly(exact)] as const);
    const made = Object.entries(result.makes).map(
      ([id, making]) => [id, { ...making, exact: exactly(making.exact) }] as const,
    );
    return { needs: new Map(needed.filter(([, quantity]) => !isZero(quantity))), makes: new Map(made) };
  };
  const all = needs(dishes);
  return {
    total: all.needs,
    byDish: new Map(dishes.map((dish) => [dish.id, needs([dish]).needs])),
    makes: all.makes,
  };
}

/** What all dishes would take with one batch more of one of them: needs are in proportion to batches, since nothing in them is rounded. */
export function needsWithBatchMore(
  { total, byDish }: NeedsOfDishes,
  { id, batches }: DishBatches,
): Map<string, Rational> {
  const more = new Map(total);
  for (const [ingredient, quantity] of byDish.get(id) ?? []) {
    more.set(ingredient, add(more.get(ingredient) ?? zero, div(quantity, rational(BigInt(batches)))));
  }
  return more;
}

/** The unit in which an ingredient is counted. */
export const countedIn = (base: string): Unit => baseUnit(base === 'g' ? 'mass' : base === 'mL' ? 'volume' : 'count');

/** The versions inside each version, however deep, itself left out; `lines` name the direct ones. */
export function versionsInside(versions: readonly KeptVersion[]): Map<string, Set<string>> {
  const direct = new Map(versions.map(({ id, lines }) => [id, lines.flatMap((line) => line.componentVersionId ?? [])]));
  const inside = (id: string, seen: Set<string>): Set<string> => {
    for (const component of direct.get(id) ?? []) {
      if (seen.has(component)) continue;
      seen.add(component);
      inside(component, seen);
    }
    return seen;
  };
  return new Map(versions.map(({ id }) => [id, inside(id, new Set())]));
}
