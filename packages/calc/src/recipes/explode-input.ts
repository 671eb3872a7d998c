import { byCodeUnits } from '../canonical.ts';
import type { Invalid, Of, Read } from '../input.ts';
import {
  distinctIds,
  id,
  invalid,
  list,
  mapOf,
  notNegative,
  optional,
  Place,
  positive,
  rational,
  record,
  refine,
} from '../input.ts';
import type { Density } from '../quantity/density.ts';
import { densityChoice } from '../quantity/density.ts';
import type { EdibleYield } from '../quantity/edible-yield.ts';
import { edibleYieldChoice } from '../quantity/edible-yield.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { measuresChoice, resolveUnit, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { one, rational as fraction, zero } from '../rational.ts';

/** An exact quantity in a known unit, with the place in the input that gives it. */
export interface Amount {
  readonly quantity: Rational;
  readonly unit: Unit;
  readonly pointer: string;
}

export interface Line extends Amount {
  readonly target: string;
  readonly isRecipe: boolean;
  /** The part of what is taken that is left in the dish: edible yield x cooked yield. */
  readonly edibleYield?: EdibleYield;
  readonly cookedYield: Rational;
}

export interface Recipe {
  readonly id: string;
  readonly makes: Amount;
  readonly potLitres?: Rational;
  readonly lines: readonly Line[];
  readonly pointer: string;
}

export interface ExplodeInput {
  readonly recipes: ReadonlyMap<string, Recipe>;
  readonly wanted: readonly (Amount & { recipe: string })[];
  readonly stock: ReadonlyMap<string, Amount>;
  readonly wholeUnits: ReadonlyMap<string, Amount>;
  readonly densities: ReadonlyMap<string, Density>;
}

// Soaked and boiled, dry food may weigh several times as much; a hundredfold is a slip of the pen.
const cookedYield = rational({ moreThan: zero, atMost: fraction(100n) });

const lineShape = record({
  recipe: optional(id()),
  item: optional(id()),
  quantity: notNegative(),
  unit: unitName,
  edibleYield: optional(edibleYieldChoice),
  cookedYield: optional(cookedYield),
});

const recipeShape = record({
  id: id(),
  makes: record({ quantity: positive(), unit: unitName }),
  potLitres: optional(positive()),
  lines: list(lineShape, { longest: 500 }),
});

const amountShape = record({ quantity: notNegative(), unit: unitName });
const sizeShape = record({ quantity: positive(), unit: unitName });

const shape = record({
  recipes: distinctIds(list(recipeShape, { longest: 2_000 }), (recipe) => recipe.id),
  wanted: list(record({ recipe: id(), quantity: notNegative(), unit: unitName })),
  stock: optional(mapOf(amountShape)),
  wholeUnits: optional(mapOf(sizeShape)),
  densities: optional(mapOf(densityChoice)),
  measures: measuresChoice,
});
type Shape = Of<typeof shape>;

type Named = { quantity: Rational; unit: string };

function amountOf({ quantity, unit }: Named, measures: Measures, place: Place): Amount | Invalid {
  const resolved = resolveUnit(unit, measures, place.at('unit'));
  return resolved === invalid ? invalid : { quantity, unit: resolved, pointer: place.pointer };
}

function amountsOf(
  named: ReadonlyMap<string, Named> | undefined,
  measures: Measures,
  place: Place,
): Map<string, Amount> {
  const amounts = new Map<string, Amount>();
  for (const [key, value] of named ?? []) {
    const amount = amountOf(value, measures, place.at(key));
    if (amount !== invalid) amounts.set(key, amount);
  }
  return amounts;
}

function lineOf(
  line: Of<typeof lineShape>,
  known: ReadonlySet<string>,
  measures: Measures,
  place: Place,
): Line | Invalid {
  const { recipe, item, edibleYield, cookedYield: cooked = one } = line;
  const amount = amountOf(line, measures, place);
  const target = recipe ?? item;
  if (target === undefined || (recipe !== undefined && item !== undefined)) {
    return place.fault('Must name either a recipe or an item.');
  }
  if (recipe !== undefined && !known.has(recipe)) return unknownRecipe(recipe, place.at('recipe'));
  if (item !== undefined && known.has(item)) {
    return place.at('item').fault(`"${item}" is a recipe as well; an id names one thing.`, 'duplicate-id');
  }
  if (amount === invalid) return invalid;
  return {
    ...amount,
    target,
    isRecipe: recipe !== undefined,
    cookedYield: cooked,
    ...(edibleYield ? { edibleYield } : {}),
  };
}

const unknownRecipe = (recipe: string, place: Place): Invalid =>
  place.fault(`There is no recipe "${recipe}" among the recipes given.`, 'unknown-recipe');

function recipeOf(
  recipe: Shape['recipes'][number],
  known: ReadonlySet<string>,
  measures: Measures,
  place: Place,
): Recipe | Invalid {
  const makes = amountOf(recipe.makes, measures, place.at('makes'));
  const lines = recipe.lines.map((line, index) => lineOf(line, known, measures, place.at('lines').at(index)));
  if (makes === invalid || lines.some((line) => line === invalid)) return invalid;
  const { potLitres } = recipe;
  return {
    id: recipe.id,
    makes,
    lines: lines as Line[],
    pointer: place.pointer,
    ...(potLitres ? { potLitres } : {}),
  };
}

/** Notes `sources-mixed` where the published yields, or densities, of one computation come from more than one table; one's own figures may. */
function refuseMixedSources(used: readonly { source: string; pointer: string }[], place: Place): void {
  const sources = [...new Set(used.map(({ source }) => source))].sort(byCodeUnits);
  if (sources.length < 2) return;
  const all = sources.join(', ');
  for (const { source, pointer } of used) {
    new Place(pointer, place.faults).fault(
      `Comes from ${source}; one computation takes its published figures from one source, here are ${all}.`,
      'sources-mixed',
    );
  }
}

/** Reads the input of `explode` and resolves every unit and id in it, or notes every fault. */
export const readExplosion: Read<ExplodeInput> = refine(shape, (input, place) => {
  const { measures } = input;
  const known = new Set(input.recipes.map((recipe) => recipe.id));
  const recipes = new Map<string, Recipe>();
  input.recipes.forEach((given, index) => {
    const recipe = recipeOf(given, known, measures, place.at('recipes').at(index));
    if (recipe !== invalid) recipes.set(given.id, recipe);
  });
  const wanted = input.wanted.flatMap((given, index) => {
    const here = place.at('wanted').at(index);
    if (!known.has(given.recipe)) unknownRecipe(given.recipe, here.at('recipe'));
    const amount = amountOf(given, measures, here);
    return amount === invalid ? [] : [{ ...amount, recipe: given.recipe }];
  });
  const stock = amountsOf(input.stock, measures, place.at('stock'));
  const wholeUnits = amountsOf(input.wholeUnits, measures, place.at('wholeUnits'));
  for (const key of wholeUnits.keys()) {
    if (known.has(key)) place.at('wholeUnits').at(key).fault('Only an item is bought in whole units, not a recipe.');
  }
  const densities = input.densities ?? new Map<string, Density>();
  refuseMixedSources(
    [...densities]
      .filter(([, { source }]) => source.edition !== undefined)
      .map(([key, { source }]) => ({ source: source.id, pointer: place.at('densities').at(key).pointer })),
    place,
  );
  refuseMixedSources(
    [...recipes.values()]
      .flatMap(({ lines }) => lines)
      .flatMap(({ edibleYield, pointer }) =>
        edibleYield?.source ? [{ source: edibleYield.source, pointer: `${pointer}/edibleYield` }] : [],
      ),
    place,
  );
  return { recipes, wanted, stock, wholeUnits, densities };
});
