import { byCodeUnits, sortedRecord } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { readInput } from '../input.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Density } from '../quantity/density.ts';
import type { Unit } from '../quantity/units.ts';
import { baseUnit } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { add, ceil, ceilTo, cmp, div, format, mul, one, rational, sub, sum, zero } from '../rational.ts';
import type { Amount, ExplodeInput, Line, Recipe } from './explode-input.ts';
import { readExplosion } from './explode-input.ts';
import { recipeOrder } from './recipe-order.ts';

export interface ItemNeed {
  exact: string;
  unit: string;
  purchase?: string;
  surplus?: string;
}

export interface RecipeMaking {
  exact: string;
  unit: string;
  batches: number;
}

export interface ExplodeResult {
  needs: Record<string, ItemNeed>;
  makes: Record<string, RecipeMaking>;
  /** The published tables of yields and densities that the input chose. */
  sources?: string[];
}

const millilitresPerLitre = rational(1000n);

const notBelowNil = (value: Rational): Rational => (cmp(value, zero) < 0 ? zero : value);

const inUnit = ({ quantity, unit, pointer }: Amount, to: Unit, density?: Density): Rational =>
  convertQuantity(quantity, unit, to, density, `${pointer}/unit`);

/** What one line takes of its target before trimming and cooking: yields divide, one after the other. */
function asPurchased({ quantity, edibleYield, cookedYield }: Line): Rational {
  return div(quantity, mul(edibleYield?.part ?? one, cookedYield));
}

/** The unit to sum in: the one that all have, else the base unit of their kind, grams where volumes and masses come together. */
function commonUnit(amounts: readonly Amount[]): Unit | undefined {
  const [first] = amounts;
  if (!first) return undefined;
  if (amounts.every(({ unit }) => unit.id === first.unit.id && unit.measures === first.unit.measures))
    return first.unit;
  const dimensions = amounts.map(({ unit }) => unit.dimension);
  return baseUnit(dimensions.includes('mass') ? 'mass' : ([...dimensions].sort()[0] ?? first.unit.dimension));
}

/** Pots of equal fill where the pot's size is known, else how many times the recipe is begun. */
function batchesOf(recipe: Recipe, needed: Rational, density?: Density): number {
  const { makes, potLitres } = recipe;
  if (!potLitres) return countOf(ceil(div(needed, makes.quantity)));
  const inMl = convertQuantity(needed, makes.unit, baseUnit('volume'), density, `${recipe.pointer}/potLitres`);
  return countOf(ceil(div(inMl, mul(potLitres, millilitresPerLitre))));
}

/** A count as a JSON integer, which beyond 2^53 it could not be. */
function countOf(value: bigint): number {
  if (value > BigInt(Number.MAX_SAFE_INTEGER)) throw new DomainError('too-large', 'More batches than can be counted.');
  return Number(value);
}

function listOf<T>(lists: Map<string, T[]>, key: string): T[] {
  const members = lists.get(key) ?? [];
  lists.set(key, members);
  return members;
}

interface Demand {
  /** What is taken of each item, line by line. */
  taken: Map<string, Amount[]>;
  makes: Map<string, RecipeMaking>;
}

/** Goes through the recipes, users first; each is exploded once, when everything that is wanted of it is known. */
function demandOf({ recipes, wanted, stock, densities }: ExplodeInput): Demand {
  const components = new Map<string, string[]>();
  for (const { id, lines } of recipes.values()) {
    components.set(
      id,
      lines.filter((line) => line.isRecipe).map((line) => line.target),
    );
  }
  const neededOf = new Map<string, Rational>();
  const taken = new Map<string, Amount[]>();
  const makes = new Map<string, RecipeMaking>();
  const need = (recipe: Recipe, amount: Amount): void => {
    const quantity = inUnit(amount, recipe.makes.unit, densities.get(recipe.id));
    neededOf.set(recipe.id, add(neededOf.get(recipe.id) ?? zero, quantity));
  };
  for (const amount of wanted) {
    const recipe = recipes.get(amount.recipe);
    if (recipe) need(recipe, amount);
  }
  for (const id of recipeOrder(components)) {
    const recipe = recipes.get(id);
    const needed = neededOf.get(id);
    if (!recipe || !needed) continue;
    const density = densities.get(id);
    const inStock = stock.get(id);
    const made = notBelowNil(sub(needed, inStock ? inUnit(inStock, recipe.makes.unit, density) : zero));
    makes.set(id, { exact: format(made), unit: recipe.makes.unit.id, batches: batchesOf(recipe, made, density) });
    const factor = div(made, recipe.makes.quantity);
    for (const line of recipe.lines) {
      const amount = { ...line, quantity: mul(asPurchased(line), factor) };
      const component = line.isRecipe ? recipes.get(line.target) : undefined;
      if (component) need(component, amount);
      else listOf(taken, line.target).push(amount);
    }
  }
  return { taken, makes };
}

/** One item's need, summed exactly over all lines, less what is in stock, rounded once at the end. */
function needOf(item: string, amounts: readonly Amount[], unit: Unit, input: ExplodeInput): ItemNeed {
  const density = input.densities.get(item);
  const inStock = input.stock.get(item);
  const wholeUnit = input.wholeUnits.get(item);
  const total = sum(amounts.map((amount) => inUnit(amount, unit, density)));
  const exact = notBelowNil(sub(total, inStock ? inUnit(inStock, unit, density) : zero));
  const need = { exact: format(exact), unit: unit.id };
  if (!wholeUnit) return need;
  const purchase = ceilTo(exact, inUnit(wholeUnit, unit, density));
  return { ...need, purchase: format(purchase), surplus: format(sub(purchase, exact)) };
}

function sourcesOf({ recipes, densities }: ExplodeInput): string[] {
  const yields = [...recipes.values()].flatMap(({ lines }) => lines.map(({ edibleYield }) => edibleYield?.source));
  const all = [...yields, ...[...densities.values()].map(({ source }) => source.id)];
  return [...new Set(all.filter((source) => source !== undefined))].sort(byCodeUnits);
}

/**
 * From dishes wanted to what must be made and bought. The recipes form an acyclic graph, at most eight deep; what is needed of a shared base is summed
 * over all that use it before anything is rounded, and an indivisible item is rounded up once, with its surplus. A yield divides: 2 at edibleYield
 * 0.61 needs 200/61 (USDA Food Buying Guide, Appendix B); edible and cooked yields chain (USDA Agriculture Handbook 102, 1975).
 * Input `{recipes: [{id, makes: {quantity, unit}, potLitres?, lines: [{recipe? | item?, quantity, unit, edibleYield?, cookedYield?}]}], wanted:
 * [{recipe, quantity, unit}], stock?, wholeUnits?, densities?, measures?}`; edibleYield is a part of one or `{source, item}` of a published table,
 * densities are `{item: {source, item, gramsPerMl?}}` for items given by volume here and by weight there.
 * Result: needs per item as purchased, less stock, and what to make of each recipe, less stock, with its number of batches (pots of equal fill where
 * potLitres is given, else how often the recipe is begun); all sums exact.
 * Errors: `invalid-input`, `unknown-unit`, `unknown-recipe`, `duplicate-id`, `recipe-cycle`, `too-deep`, `units-incompatible`, `density-missing`,
 * `unknown-density`, `unknown-yield`, `sources-mixed`.
 */
export function explode(input: unknown): ExplodeResult {
  const read = readInput(readExplosion, input);
  const { taken, makes } = demandOf(read);
  const needs = [...taken].flatMap(([item, amounts]) => {
    const unit = commonUnit(amounts);
    return unit ? [[item, needOf(item, amounts, unit, read)] as const] : [];
  });
  const sources = sourcesOf(read);
  return { needs: sortedRecord(needs), makes: sortedRecord(makes), ...(sources.length > 0 ? { sources } : {}) };
}
