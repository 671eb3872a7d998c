import type { Read } from '../input.ts';
import { invalid, notNegative, optional, readInput, record, refine } from '../input.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Unit } from '../quantity/units.ts';
import { findUnit, measuresChoice, resolveUnit, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { add, ceil, cmp, div, format, max, mul, parse, rational, sub, zero } from '../rational.ts';

const unitOf = (name: string): Unit => {
  const unit = findUnit(name, 'us');
  if (!unit) throw new RangeError(`There is no unit ${name}.`);
  return unit;
};
const [pound, cubicFoot, kilogram, litre] = ['lb', 'ft3', 'kg', 'L'].map(unitOf) as [Unit, Unit, Unit, Unit];

/**
 * Pounds per cubic foot of freezer. In 24 hours 2 to 3 lb of unfrozen food freeze fast enough (USDA home freezing bulletin; the extension services of
 * Michigan State, West Virginia and Minnesota say the same); 35 lb fill it (extension services of North Carolina State, Ohio State and Clemson).
 */
export const freezerRules = { daily: { least: rational(2n), most: rational(3n) }, full: rational(35n) } as const;

interface Amount {
  quantity: Rational;
  unit: Unit;
}

/** A mass or volume between two whole numbers of kilograms or litres: beyond them a unit was mistaken. */
function amount(dimension: 'mass' | 'volume', least: string, most: string): Read<Amount> {
  const base = dimension === 'mass' ? kilogram : litre;
  return refine(record({ quantity: notNegative(), unit: unitName, measures: measuresChoice }), (given, place) => {
    const unit = resolveUnit(given.unit, given.measures, place.at('unit'));
    if (unit === invalid) return invalid;
    if (unit.dimension !== dimension)
      return place.at('unit').fault(`Must be a unit of ${dimension}, such as ${base.id}.`, 'units-incompatible');
    const inBase = convertQuantity(given.quantity, unit, base);
    if (cmp(inBase, parse(least)) < 0 || cmp(inBase, parse(most)) > 0)
      return place.at('quantity').fault(`Must be from ${least} to ${most} ${base.id}.`);
    return { quantity: given.quantity, unit };
  });
}

const readLoad = record({
  volume: amount('volume', '1', '100000'),
  adding: amount('mass', '0', '100000'),
  held: optional(amount('mass', '0', '100000')),
});

export const freezerWarnings = ['above-lower-daily-load', 'above-daily-load', 'above-capacity'] as const;
export type FreezerWarning = (typeof freezerWarnings)[number];

export interface FreezerLoadResult {
  /** Always true: rules of thumb for planning, and nothing about safety. */
  estimate: true;
  /** the unit of `adding`, in which every mass of the result is */
  unit: string;
  perDay: { least: string; most: string };
  capacity: string;
  left: string;
  days: { least: number; most: number };
  warnings: FreezerWarning[];
  inputs: { volume: { quantity: string; unit: string }; adding: string; held: string };
}

/**
 * What a freezer can freeze in a day and hold at all, by mass for its volume, and whether the unfrozen food to be added is more: 2 to 3 lb per cubic foot in 24
 * hours, 35 lb per cubic foot when full. Estimates of the extension services (`freezerRules`), never proof that food freezes in time.
 * Input `{volume: {quantity, unit}, adding: {quantity, unit}, held?: {quantity, unit}}`, exact numbers with units of volume and mass (`measures?` beside a
 * unit that needs it). Result in the unit of `adding`: `perDay` least and most, `capacity`, `left` before adding (nil when overfull), `days` it takes at the
 * higher and at the lower daily load, `warnings`, `inputs`. Errors: `invalid-input`, `unknown-unit`, `units-incompatible`.
 */
export function freezerLoad(input: unknown): FreezerLoadResult {
  const { volume, adding, held } = readInput(readLoad, input);
  const { unit, quantity } = adding;
  const cubicFeet = convertQuantity(volume.quantity, volume.unit, cubicFoot);
  const ofPounds = (perCubicFoot: Rational): Rational => convertQuantity(mul(cubicFeet, perCubicFoot), pound, unit);
  const [least, most, capacity] = [freezerRules.daily.least, freezerRules.daily.most, freezerRules.full].map(
    ofPounds,
  ) as [Rational, Rational, Rational];
  const inside = held ? convertQuantity(held.quantity, held.unit, unit) : zero;
  const isMore = (limit: Rational, load = quantity): boolean => cmp(load, limit) > 0;
  const isTrue: Record<FreezerWarning, boolean> = {
    'above-lower-daily-load': isMore(least) && !isMore(most),
    'above-daily-load': isMore(most),
    'above-capacity': isMore(capacity, add(inside, quantity)),
  };
  return {
    estimate: true,
    unit: unit.id,
    perDay: { least: format(least), most: format(most) },
    capacity: format(capacity),
    left: format(max(zero, sub(capacity, inside))),
    days: { least: Number(ceil(div(quantity, most))), most: Number(ceil(div(quantity, least))) },
    warnings: freezerWarnings.filter((warning) => isTrue[warning]),
    inputs: {
      volume: { quantity: format(volume.quantity), unit: volume.unit.id },
      adding: format(quantity),
      held: format(inside),
    },
  };
}
