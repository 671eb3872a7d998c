import { byCodeUnits } from '../canonical.ts';
import type { Invalid, Place, Read } from '../input.ts';
import { id, invalid, list, notNegative, oneOf, optional, positive, readInput, record, refine } from '../input.ts';
import { sayInKitchen } from '../quantity/kitchen-measures.ts';
import type { Measures, Unit } from '../quantity/units.ts';
import { measuresChoice, resolveUnit, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { cmp, div, format, mul, one } from '../rational.ts';

interface SizeInput {
  quantity: Rational;
  unit?: string | undefined;
}

const sizeWithUnit = record({ quantity: positive(), unit: unitName });

/** A portion's size: a number, both times of the same unit, or `{quantity, unit}`. */
const portionSize: Read<SizeInput> = (value, place) =>
  typeof value === 'object' && value !== null
    ? sizeWithUnit(value, place)
    : refine(positive(), (quantity): SizeInput => ({ quantity }))(value, place);

const side = record({ portions: positive(), portionSize: optional(portionSize) });
type Side = { portions: Rational; portionSize: SizeInput | undefined };

/** How much one portion is, in the base unit where units are given. */
function sizeInBase(
  size: SizeInput,
  measures: Measures,
  place: Place,
): { size: Rational; dimension: string } | Invalid {
  if (size.unit === undefined) return { size: size.quantity, dimension: '' };
  const unit = resolveUnit(size.unit, measures, place.at('unit'));
  return unit === invalid ? invalid : { size: mul(size.quantity, unit.inBase), dimension: unit.dimension };
}

/** New total yield over old total yield. */
function factorOf(from: Side, to: Side, measures: Measures, place: Place): Rational | Invalid {
  const portions = div(to.portions, from.portions);
  if (!from.portionSize && !to.portionSize) return portions;
  const lacking = !from.portionSize ? 'from' : 'to';
  if (!from.portionSize || !to.portionSize) {
    return place
      .at(lacking)
      .fault('Needs portionSize too, because total yields can only be compared when both are known.');
  }
  const old = sizeInBase(from.portionSize, measures, place.at('from').at('portionSize'));
  const wanted = sizeInBase(to.portionSize, measures, place.at('to').at('portionSize'));
  if (old === invalid || wanted === invalid) return invalid;
  if (old.dimension !== wanted.dimension) {
    return place
      .at('to')
      .at('portionSize')
      .fault('Must be of the same kind of unit as the size that the recipe is made for.', 'units-incompatible');
  }
  return mul(portions, div(wanted.size, old.size));
}

const readScaling = refine(
  record({
    from: side,
    to: side,
    quantities: list(record({ id: optional(id()), quantity: notNegative(), unit: unitName })),
    roundTo: optional(oneOf(['kitchen', 'exact'])),
    measures: measuresChoice,
  }),
  ({ from, to, quantities, roundTo = 'kitchen', measures }, place) => {
    const factor = factorOf(from, to, measures, place);
    const resolved = quantities.map((line, index) => ({
      ...line,
      unit: resolveUnit(line.unit, measures, place.at('quantities').at(index).at('unit')),
    }));
    if (factor === invalid || resolved.some(({ unit }) => unit === invalid)) return invalid;
    return { factor, quantities: resolved as { id?: string; quantity: Rational; unit: Unit }[], roundTo, measures };
  },
);

export interface ScaledQuantity {
  id?: string;
  exact: string;
  unit: string;
  say: string;
}

export interface ScaleResult {
  factor: string;
  quantities: ScaledQuantity[];
}

/**
 * A recipe's quantities for another yield: each times new total yield / old total yield, so five bowls of 8 oz to ten cups of 4 oz is the factor 1.
 * Method: US Armed Forces Recipe Service (TM 10-412, 2003), No. 1; portions times size as in USDA Recipes for Schools, pages 17 and 18.
 * Input `{from, to: {portions, portionSize?}, quantities: [{id?, quantity, unit}], roundTo?, measures?}`; a portionSize is a number or
 * `{quantity, unit}`. Result: the factor and the quantities exact in their own unit; `say` is in kitchen measures, or the exact figure with
 * roundTo "exact". Listed by id, unit and quantity, whatever the order of the input; give ids to find a line again.
 * Errors: `invalid-input`, `unknown-unit`, `units-incompatible`.
 */
export function scale(input: unknown): ScaleResult {
  const { factor, quantities, roundTo, measures } = readInput(readScaling, input);
  const sorted = [...quantities].sort(
    (a, b) => byCodeUnits(a.id ?? '', b.id ?? '') || byCodeUnits(a.unit.id, b.unit.id) || cmp(a.quantity, b.quantity),
  );
  return {
    factor: format(factor),
    quantities: sorted.map(({ id: lineId, quantity, unit }) => {
      const exact = mul(quantity, factor);
      const say = roundTo === 'exact' ? sayExactly(exact, unit) : sayInKitchen(exact, unit, measures);
      return { ...(lineId === undefined ? {} : { id: lineId }), exact: format(exact), unit: unit.id, say };
    }),
  };
}

const sayExactly = (exact: Rational, unit: Unit): string =>
  `${format(exact)} ${unit.plural && cmp(exact, one) > 0 ? unit.plural : unit.id}`;
