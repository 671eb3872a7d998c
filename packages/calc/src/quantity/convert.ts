import { DomainError } from '../domain-error.ts';
import { invalid, notNegative, optional, readInput, record, refine } from '../input.ts';
import type { Rational } from '../rational.ts';
import { div, format, mul, toDecimal } from '../rational.ts';
import type { Density, DensitySource } from './density.ts';
import { densityChoice } from './density.ts';
import type { Unit } from './units.ts';
import { measuresChoice, resolveUnit, unitName } from './units.ts';

/** The decimals of a result that is shown as a decimal; the exact fraction stands beside it. */
const shownDecimals = 9;

/** Whether going from one unit to the other takes a density. */
export const needsDensity = (from: Unit, to: Unit): boolean =>
  (from.dimension === 'mass' && to.dimension === 'volume') || (from.dimension === 'volume' && to.dimension === 'mass');

/**
 * A quantity in another unit, exact: value x from / to, and between volume and mass x or / the density.
 * Errors: `units-incompatible` (mass and count, say), `density-missing`; `pointer` is where the input chose the units.
 */
export function convertQuantity(value: Rational, from: Unit, to: Unit, density?: Density, pointer = '#/to'): Rational {
  const inBase = mul(value, from.inBase);
  if (from.dimension === to.dimension) return div(inBase, to.inBase);
  if (!needsDensity(from, to)) {
    const detail = `${from.id} (${from.dimension}) cannot become ${to.id} (${to.dimension}).`;
    throw new DomainError('units-incompatible', detail, {
      errors: [{ pointer, detail }],
      params: { from: from.id, to: to.id },
    });
  }
  if (!density) {
    const detail = `${from.id} becomes ${to.id} only with a density and its source.`;
    throw new DomainError('density-missing', detail, {
      errors: [{ pointer, detail }],
      params: { from: from.id, to: to.id },
    });
  }
  const crossed = from.dimension === 'volume' ? mul(inBase, density.gramsPerMl) : div(inBase, density.gramsPerMl);
  return div(crossed, to.inBase);
}

/** A decimal text without the noughts at its end. */
const trimmed = (decimal: string): string => (decimal.includes('.') ? decimal.replace(/\.?0+$/, '') : decimal);

const readConversion = refine(
  record({
    quantity: notNegative(),
    from: unitName,
    to: unitName,
    density: optional(densityChoice),
    measures: measuresChoice,
  }),
  ({ quantity, from, to, density, measures }, place) => {
    const fromUnit = resolveUnit(from, measures, place.at('from'));
    const toUnit = resolveUnit(to, measures, place.at('to'));
    return fromUnit === invalid || toUnit === invalid ? invalid : { quantity, from: fromUnit, to: toUnit, density };
  },
);

export interface ConvertResult {
  exact: string;
  decimal: string;
  source?: DensitySource;
}

/**
 * A quantity in another unit. Exact factors; the decimal is rounded half up to 9 places. Factors: international pound and US gallon as in NIST
 * Handbook 44, Appendix C; label measures 21 CFR 101.9(b)(5)(viii); each unit's source stands in shared/reference/units.json.
 * Input `{quantity, from, to, density?: {source, item, gramsPerMl?}, measures?}`: quantity an exact number, from and to unit names, measures the set
 * of kitchen measures (us if left out). Result: `exact` as a fraction, `decimal`, and `source` whenever a density was used.
 * Errors: `invalid-input`, `unknown-unit`, `unknown-density`, `units-incompatible`, `density-missing`.
 */
export function convert(input: unknown): ConvertResult {
  const { quantity, from, to, density } = readInput(readConversion, input);
  const exact = convertQuantity(quantity, from, to, density);
  return {
    exact: format(exact),
    decimal: trimmed(toDecimal(exact, shownDecimals)),
    ...(density && needsDensity(from, to) ? { source: density.source } : {}),
  };
}
