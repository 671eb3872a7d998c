import { integer, invalid, list, positive, readInput, record, refine, text } from '../input.ts';
import { convertQuantity } from '../quantity/convert.ts';
import type { Unit } from '../quantity/units.ts';
import { measuresChoice, resolveUnit, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { ceilTo, div, format, mul, rational, sum } from '../rational.ts';

const readServings = refine(
  record({
    servings: list(record({ count: integer(0, 1_000_000), size: positive(), unit: unitName })),
    perUnit: record({ quantity: positive(), unit: unitName }),
    purchaseUnit: text(40),
    roundUpTo: positive(),
    measures: measuresChoice,
  }),
  (input, place) => {
    const { measures } = input;
    const perUnit = resolveUnit(input.perUnit.unit, measures, place.at('perUnit').at('unit'));
    const units = input.servings.map(({ unit }, index) =>
      resolveUnit(unit, measures, place.at('servings').at(index).at('unit')),
    );
    if (perUnit === invalid || units.some((unit) => unit === invalid)) return invalid;
    return {
      servings: input.servings.map(({ count, size }, index) => ({ count, size, unit: units[index] as Unit })),
      perUnit: { quantity: input.perUnit.quantity, unit: perUnit },
      roundUpTo: input.roundUpTo,
    };
  },
);

export interface ServingsToBuyResult {
  exact: string;
  purchase: string;
}

/**
 * How much to buy for so many servings: the sum of count x size, over what one purchase unit gives, rounded up to what can be bought. Never short, and
 * more servings never need less. Source: USDA Food Buying Guide, Appendix B.
 * Input `{servings: [{count, size, unit}], perUnit: {quantity, unit}, purchaseUnit, roundUpTo, measures?}`: perUnit is what one purchase unit gives (0.61
 * lb of diced melon from a pound), roundUpTo the least step of a purchase. Result in purchase units: `exact` and `purchase`.
 * Errors: `invalid-input`, `unknown-unit`, `units-incompatible`, `density-missing`.
 */
export function servingsToBuy(input: unknown): ServingsToBuyResult {
  const { servings, perUnit, roundUpTo } = readInput(readServings, input);
  const total = sum(
    servings.map(({ count, size, unit }, index): Rational => {
      const served = mul(rational(BigInt(count)), size);
      return convertQuantity(served, unit, perUnit.unit, undefined, `#/servings/${index}/unit`);
    }),
  );
  const exact = div(total, perUnit.quantity);
  return { exact: format(exact), purchase: format(ceilTo(exact, roundUpTo)) };
}
