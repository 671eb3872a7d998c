import { DomainError } from '../domain-error.ts';
import type { InputFault } from '../domain-error.ts';
import { invalid, invalidInput, Place } from '../input.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Density } from '../quantity/density.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { findUnit, resolveUnit } from '../quantity/units.ts';
import { cmp, format, one, parse, sign } from '../rational.ts';
import { recipeOrder } from './recipe-order.ts';

export interface VersionDraft {
  makes: { quantity: string; unit: string };
  portions: number | null;
  containerPlan: readonly { portions: number; count: number }[];
  potLitres: string | null;
  lines: readonly {
    ingredientId: string | null;
    componentVersionId: string | null;
    quantity: string;
    unit: string;
    edibleYield: string | null;
  }[];
}

/** What lines may name: an ingredient with its base unit and density, a component's version with the unit that it makes. */
export interface KnownParts {
  ingredients: ReadonlyMap<string, { baseUnit: string; density?: Density }>;
  components: ReadonlyMap<string, { makesUnit: string; density?: Density }>;
}

/** Longer exact figures than this come from a slip, not from a kitchen, and would grow with every recipe that uses them. */
const longestExact = 40;

/** The density of a row that keeps one with its source; undefined where it keeps none. */
export function ownDensity(item: string, gramsPerMl: string | null, source: string | null): Density | undefined {
  if (gramsPerMl === null) return undefined;
  return { gramsPerMl: parse(gramsPerMl), source: { id: source ?? '', item, grams: gramsPerMl, perMl: '1' } };
}

/** The name under which a unit means the same whatever set of kitchen measures is chosen later: `us-cup`, `g`. */
export const lastingUnitName = ({ id, measures }: Unit): string =>
  measures && !id.startsWith(`${measures}-`) ? `${measures}-${id}` : id;

/** The name by which the unit is known to those who use these kitchen measures: `us-cup` is `cup` to them, and stays `us-cup` to others. */
export function familiarUnitName(lasting: string, measures: Measures): string {
  const short = lasting.startsWith(`${measures}-`) ? lasting.slice(measures.length + 1) : lasting;
  const unit = findUnit(short, measures);
  return unit && lastingUnitName(unit) === lasting ? unit.id : lasting;
}

function checkContainers({ portions, containerPlan }: VersionDraft, faults: InputFault[]): void {
  const held = containerPlan.reduce((total, group) => total + group.portions * group.count, 0);
  if (held === (portions ?? 0)) return;
  const detail =
    portions === null
      ? 'What is only ever a component gives no portions, so it has no containers.'
      : `The containers hold ${held} portions and the batch gives ${portions}.`;
  faults.push({ pointer: '#/containerPlan', detail });
}

function checkLine(
  line: VersionDraft['lines'][number],
  known: KnownParts,
  measures: Measures,
  place: Place,
): string | undefined {
  const { ingredientId, componentVersionId, edibleYield } = line;
  if (edibleYield !== null && (sign(parse(edibleYield)) <= 0 || cmp(parse(edibleYield), one) > 0)) {
    place.at('edibleYield').fault('Must be more than nil and at most 1.');
  }
  const unit = resolveUnit(line.unit, measures, place.at('unit'));
  const ingredient = ingredientId === null ? undefined : known.ingredients.get(ingredientId);
  const component = componentVersionId === null ? undefined : known.components.get(componentVersionId);
  if (ingredientId !== null && !ingredient) place.at('ingredientId').fault('There is no such ingredient.');
  if (componentVersionId !== null && !component) {
    place.at('componentVersionId').fault('There is no such version of a recipe.');
  }
  const part = ingredient ?? component;
  const to = findUnit(ingredient?.baseUnit ?? component?.makesUnit ?? '', measures);
  if (unit === invalid || !part || !to) return undefined;
  const inPart = convertOrNote(line.quantity, unit, to, part.density, place);
  if (inPart !== undefined && inPart.length > longestExact) {
    place.at('quantity').fault('Has more digits than can be kept exactly.');
  }
  return lastingUnitName(unit);
}

function convertOrNote(
  quantity: string,
  unit: Unit,
  to: Unit,
  density: Density | undefined,
  place: Place,
): string | undefined {
  try {
    return format(convertQuantity(parse(quantity), unit, to, density));
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    place.at('unit').fault(error.message, error.code);
    return undefined;
  }
}

/**
 * Checks a version of a recipe as typed and gives its units under their lasting names: every unit is known and can become the unit that the ingredient
 * is counted in, or that the component makes; the containers sum to the portions; yields are parts of one. Our decision.
 * `draft`: quantities as exact text; `known`: what lines may name; `measures`: the set in which kitchen measures are read.
 * Throws with every fault at its place: `invalid-input`, `unknown-unit`, `units-incompatible`, `density-missing`.
 */
export function checkVersion(
  draft: VersionDraft,
  known: KnownParts,
  measures: Measures,
): { makesUnit: string; lineUnits: string[] } {
  const faults: InputFault[] = [];
  const place = new Place('#', faults);
  if (sign(parse(draft.makes.quantity)) <= 0) place.at('makes').at('quantity').fault('Must be more than nil.');
  if (draft.potLitres !== null && sign(parse(draft.potLitres)) <= 0) {
    place.at('potLitres').fault('Must be more than nil.');
  }
  const makes = resolveUnit(draft.makes.unit, measures, place.at('makes').at('unit'));
  checkContainers(draft, faults);
  const lineUnits = draft.lines.map((line, index) => checkLine(line, known, measures, place.at('lines').at(index)));
  if (faults.length > 0 || makes === invalid) throw invalidInput(faults);
  return { makesUnit: lastingUnitName(makes), lineUnits: lineUnits.filter((unit) => unit !== undefined) };
}

/**
 * Refuses a recipe that would contain itself or stand more than eight deep, with the recipes' names in the message.
 * `components`: every recipe's name to the names of those in it, the new version included. Throws `recipe-cycle`, `too-deep`.
 */
export function checkNesting(components: ReadonlyMap<string, readonly string[]>): void {
  try {
    recipeOrder(components);
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    throw new DomainError(error.code, error.message, {
      errors: [{ pointer: '#/lines', detail: error.message, code: error.code }],
      ...(error.params ? { params: error.params } : {}),
    });
  }
}
