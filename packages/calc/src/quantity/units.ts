import type { Invalid, Place, Read } from '../input.ts';
import { oneOf, optional, text } from '../input.ts';
import type { Rational } from '../rational.ts';
import { parse } from '../rational.ts';
import { unitRows } from './reference-tables.ts';

/** The sets of kitchen measures; the same word (cup, tbsp, oz) is another quantity in another set. */
export const measuresNames = ['us', 'imperial', 'metric', 'us-label', 'au'] as const;
export type Measures = (typeof measuresNames)[number];

/** A unit of a dimension (mass, volume, count, or a counted thing such as portion), with its exact size in g, mL or pieces. */
export interface Unit {
  readonly id: string;
  /** How it is said of more than one; the id where that is the same. */
  readonly plural?: string;
  readonly dimension: string;
  readonly inBase: Rational;
  readonly measures?: Measures;
}

const normalised = (name: string): string => name.trim().toLowerCase().replaceAll(/\s+/g, ' ');

/** Names of units to units; a unit of a set of measures stands under `set:name`, and under `set-name` by itself. */
const unitsByName = new Map<string, Unit>();
const systems = new Map<string, Measures[]>();
for (const { aliases = [], ...row } of unitRows) {
  const { id, plural, measures } = row;
  const unit: Unit = { ...row, inBase: parse(row.inBase) };
  for (const name of [id, ...(plural ? [plural] : []), ...aliases].map(normalised)) {
    unitsByName.set(measures ? `${measures}:${name}` : name, unit);
    if (!measures) continue;
    const explicit = { ...unit, id: `${measures}-${id}`, ...(plural ? { plural: `${measures}-${plural}` } : {}) };
    unitsByName.set(`${measures}-${name}`, explicit);
    systems.set(name, [...(systems.get(name) ?? []), measures]);
  }
}

/**
 * The unit of a name: `g`, `mL`, `lb`, `cup`, `portion` and so on, English plurals and long names too, in any letter case. A kitchen measure is
 * read in the given set of measures; with the set before it (`metric-cup`, `au-tbsp`) it means that set wherever it stands. Undefined when unknown.
 */
export function findUnit(name: string, measures: Measures): Unit | undefined {
  const key = normalised(name);
  return unitsByName.get(`${measures}:${key}`) ?? unitsByName.get(key);
}

/** The base unit of a dimension: grams, millilitres, pieces or the counted thing. */
export function baseUnit(dimension: string): Unit {
  const id = dimension === 'mass' ? 'g' : dimension === 'volume' ? 'mL' : dimension === 'count' ? 'each' : dimension;
  const unit = unitsByName.get(id.toLowerCase());
  if (!unit) throw new RangeError(`There is no dimension ${dimension}.`);
  return unit;
}

/** Every unit of the table, for pages and tests. */
export const allUnits: readonly Unit[] = [...new Set(unitsByName.values())];

/** Reads the choice of measures, `us` when it is left out. */
export const measuresChoice: Read<Measures> = (value, place) => {
  const chosen = optional(oneOf(measuresNames))(value, place);
  return chosen === undefined ? 'us' : chosen;
};

/** Reads the name of a unit as text; its meaning depends on the set of measures, so `resolveUnit` gives it afterwards. */
export const unitName: Read<string> = text(40);

/** The unit of a name that was read, or a noted fault `unknown-unit` at its place. */
export function resolveUnit(name: string, measures: Measures, place: Place): Unit | Invalid {
  const unit = findUnit(name, measures);
  if (unit) return unit;
  const elsewhere = systems.get(normalised(name));
  const hint = elsewhere ? ` among ${measures} measures; there is one in: ${elsewhere.join(', ')}` : '';
  return place.fault(`There is no unit "${name}"${hint}.`, 'unknown-unit');
}
