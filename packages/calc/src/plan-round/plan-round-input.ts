import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import type { InputFault } from '../domain-error.ts';
import type { Of } from '../input.ts';
import {
  distinctIds,
  id,
  integer,
  invalidInput,
  list,
  minorUnits,
  notNegative,
  optional,
  positive,
  rational,
  readInput,
  record,
  text,
} from '../input.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Density } from '../quantity/density.ts';
import { densityChoice } from '../quantity/density.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { findUnit, measuresChoice, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { add, div, isInteger, one, rational as fraction, zero } from '../rational.ts';

/** Who eats: the portions wanted, and of which dishes. */
export interface PlanHousehold {
  readonly id: string;
  readonly portions: Rational;
  /** dishes that it must not get; dishes that it would rather not get */
  readonly excludes: ReadonlySet<string>;
  readonly refuses: ReadonlySet<string>;
  /** how many different dishes it would like */
  readonly variety: number;
  /** dishes that it asks for */
  readonly wishes: ReadonlySet<string>;
}

/** What may be cooked; each figure is for one batch, `fixedMinutes` once however many batches. */
export interface PlanDish {
  /** its place in the input, for pointers */
  readonly at: number;
  readonly id: string;
  readonly portions: Rational;
  /** portions in one container: what a household needs of it for it to count as a different dish */
  readonly container: Rational;
  readonly atLeast: number;
  readonly atMost: number;
  /** ingredient at hand to its quantity, in the unit in which it is at hand */
  readonly uses: ReadonlyMap<string, Rational>;
  readonly minutes: number;
  readonly fixedMinutes: number;
  readonly pots: number;
  readonly freezerMl: number;
  /** minor units; undefined when a price is not known */
  readonly cost?: bigint;
}

/** What there is of an ingredient and should be used up, in packs of `pack`. */
export interface AtHand {
  readonly ingredient: string;
  readonly quantity: Rational;
  readonly unit: Unit;
  readonly pack: Rational;
}

/** What the kitchen and the freezers take; what is left out is without limit. */
export interface PlanKitchen {
  readonly minutes?: number;
  readonly pots?: number;
  readonly freezerMl?: number;
  /** how many different dishes may be cooked */
  readonly dishes?: number;
}

/** Each list sorted by id, so that nothing below depends on the order in which it was given. */
export interface PlanRoundInput {
  readonly seed: string;
  readonly households: readonly PlanHousehold[];
  readonly dishes: readonly PlanDish[];
  readonly atHand: readonly AtHand[];
  readonly kitchen: PlanKitchen;
  /** portions that may be made beyond those wanted */
  readonly beyond?: Rational;
}

const mostBatches = 1000;
const mostOf = 100_000_000;
const portionsEach = { moreThan: zero, atMost: fraction(100_000n) };
const dishIds = optional(list(id(), { longest: 200 }));

const household = record({
  id: id(),
  portions: rational({ atLeast: zero, atMost: fraction(100_000n) }),
  excludes: dishIds,
  refuses: dishIds,
  variety: optional(integer(0, 100)),
  wishes: dishIds,
});
const use = record({ ingredient: id(), quantity: positive(), unit: unitName });
const dish = record({
  id: id(),
  portions: rational(portionsEach),
  container: optional(rational(portionsEach)),
  atLeast: optional(integer(0, mostBatches)),
  atMost: optional(integer(0, mostBatches)),
  uses: optional(distinctIds(list(use, { longest: 200 }), ({ ingredient }) => ingredient, 'ingredient')),
  minutes: optional(record({ perBatch: optional(integer(0, 100_000)), fixed: optional(integer(0, 100_000)) })),
  pots: optional(integer(0, 10_000)),
  freezerMl: optional(integer(0, mostOf)),
  cost: optional(minorUnits({ atLeast: 0n })),
});
const atHand = record({
  ingredient: id(),
  quantity: notNegative(),
  unit: unitName,
  pack: optional(positive()),
  density: optional(densityChoice),
});
const kitchen = record({
  minutes: optional(integer(0, mostOf)),
  pots: optional(integer(0, mostOf)),
  freezerMl: optional(integer(0, mostOf)),
  dishes: optional(integer(0, 200)),
});
const shape = record({
  seed: text(),
  households: distinctIds(list(household, { longest: 500 }), (member) => member.id),
  dishes: distinctIds(list(dish, { longest: 200 }), (member) => member.id),
  atHand: optional(distinctIds(list(atHand, { longest: 20 }), ({ ingredient }) => ingredient, 'ingredient')),
  kitchen: optional(kitchen),
  beyond: optional(notNegative()),
  measures: measuresChoice,
});

type Raw = Of<typeof shape>;
interface Known extends AtHand {
  density?: Density | undefined;
}

class Faults {
  readonly all: InputFault[] = [];

  add(pointer: string, detail: string, code?: string): void {
    if (this.all.length < 100) this.all.push({ pointer, detail, ...(code ? { code } : {}) });
  }

  unit(name: string, measures: Measures, pointer: string): Unit | undefined {
    const unit = findUnit(name, measures);
    if (!unit) this.add(pointer, `There is no unit "${name}" among ${measures} measures.`, 'unknown-unit');
    return unit;
  }

  /** Runs a conversion and tells its refusal at its place. */
  converted(work: () => Rational): Rational | undefined {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof DomainError) || error.errors.length === 0) throw error;
      for (const fault of error.errors) this.add(fault.pointer, fault.detail, error.code);
      return undefined;
    }
  }
}

function readAtHand({ atHand: given = [], measures }: Raw, faults: Faults): Known[] {
  return given.flatMap(({ ingredient, quantity, unit: name, pack = one, density }, index): Known[] => {
    const at = `#/atHand/${index}`;
    const unit = faults.unit(name, measures, `${at}/unit`);
    if (!isInteger(div(quantity, pack))) faults.add(`${at}/quantity`, 'Must be a whole number of packs.');
    return unit ? [{ ingredient, quantity, unit, pack, density }] : [];
  });
}

function readUses(
  { dishes, measures }: Raw,
  index: number,
  hand: ReadonlyMap<string, Known>,
  faults: Faults,
): Map<string, Rational> {
  const uses = new Map<string, Rational>();
  (dishes[index]?.uses ?? []).forEach(({ ingredient, quantity, unit: name }, place) => {
    const at = `#/dishes/${index}/uses/${place}/unit`;
    const unit = faults.unit(name, measures, at);
    const known = hand.get(ingredient);
    if (!unit || !known) return;
    const converted = faults.converted(() => convertQuantity(quantity, unit, known.unit, known.density, at));
    if (converted) uses.set(ingredient, add(uses.get(ingredient) ?? zero, converted));
  });
  return uses;
}

function readDish(raw: Raw, index: number, hand: ReadonlyMap<string, Known>, faults: Faults): PlanDish[] {
  const given = raw.dishes[index];
  if (!given) return [];
  const { atLeast = 0, atMost = mostBatches, container = one } = given;
  if (atMost < atLeast) faults.add(`#/dishes/${index}/atMost`, 'Must not be less than atLeast.');
  return [
    {
      ...{ at: index, id: given.id, portions: given.portions, container, atLeast, atMost },
      uses: readUses(raw, index, hand, faults),
      minutes: given.minutes?.perBatch ?? 0,
      fixedMinutes: given.minutes?.fixed ?? 0,
      pots: given.pots ?? 0,
      freezerMl: given.freezerMl ?? 0,
      ...(given.cost === undefined ? {} : { cost: given.cost }),
    },
  ];
}

function readHouseholds({ households, dishes }: Raw, faults: Faults): PlanHousehold[] {
  const known = new Set(dishes.map((each) => each.id));
  return households.map((given, index) => {
    for (const member of ['excludes', 'refuses', 'wishes'] as const) {
      (given[member] ?? []).forEach((name, place) => {
        if (!known.has(name)) faults.add(`#/households/${index}/${member}/${place}`, `There is no dish "${name}".`);
      });
    }
    return {
      id: given.id,
      portions: given.portions,
      excludes: new Set(given.excludes),
      refuses: new Set(given.refuses),
      variety: given.variety ?? 0,
      wishes: new Set(given.wishes),
    };
  });
}

const byId = (a: { id: string }, b: { id: string }): number => byCodeUnits(a.id, b.id);

/**
 * Reads the JSON of a plan: `{seed, households: [{id, portions, excludes?, refuses?, variety?, wishes?}], dishes: [{id, portions, container?, atLeast?, atMost?,
 * uses?: [{ingredient, quantity, unit}], minutes?: {perBatch?, fixed?}, pots?, freezerMl?, cost?}], atHand?: [{ingredient, quantity, unit, pack?, density?}],
 * kitchen?: {minutes?, pots?, freezerMl?, dishes?}, beyond?, measures?}`; uses are turned into the unit at hand, those of nothing at hand are passed over.
 * Throws `invalid-input` (or the code that all faults share: `unknown-unit`, `units-incompatible`, `density-missing`, `duplicate-id`) with every fault.
 */
export function readPlanRound(given: unknown): PlanRoundInput {
  const raw = readInput(shape, given);
  const faults = new Faults();
  const hand = readAtHand(raw, faults);
  const handOf = new Map(hand.map((each) => [each.ingredient, each]));
  const dishes = raw.dishes.flatMap((_, index) => readDish(raw, index, handOf, faults));
  const households = readHouseholds(raw, faults);
  if (faults.all.length > 0) throw invalidInput(faults.all);
  return {
    seed: raw.seed,
    households: households.sort(byId),
    dishes: dishes.sort(byId),
    atHand: hand
      .map(({ ingredient, quantity, unit, pack }) => ({ ingredient, quantity, unit, pack }))
      .sort((a, b) => byCodeUnits(a.ingredient, b.ingredient)),
    kitchen: raw.kitchen ?? {},
    ...(raw.beyond ? { beyond: raw.beyond } : {}),
  };
}
