import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { add, one, rational, zero } from '../rational.ts';
import { energyRows, referenceKilocalories } from './energy-table.ts';

/** Somebody who eats: an age band that is always known, and more where the scale asks for it. */
export interface Diner {
  ageBand: 'adult' | 'child';
  birthYear?: number;
  sex?: 'male' | 'female';
}

/** How a cooperative counts heads: everyone by age band, by energy needs, or each household by its own number. */
export type WeightPolicy =
  | { scale: 'per-head'; childWeight: Rational; childBelow: number }
  | { scale: 'energy'; childWeight: Rational; childBelow: number }
  | { scale: 'own' };

/** Adults count 1, children under 12 a half. Common practice, no source; every cooperative can choose other numbers. */
export const perHeadPolicy: WeightPolicy = { scale: 'per-head', childWeight: rational(1n, 2n), childBelow: 12 };

/**
 * The weight of one diner by energy needs: kilocalories a day of its age and sex over 2000.
 * Source: Dietary Guidelines for Americans 2020-2025, moderately active (energy-table.ts). Without a sex, the mean of both; below two years,
 * where the table begins, the row of two. The source is for groups and planning, never advice for one person. `age`: whole years.
 */
export function energyWeight(age: number, sex?: 'male' | 'female'): Rational {
  const row = energyRows.findLast(({ fromAge }) => fromAge <= age) ?? energyRows[0] ?? { male: 0, female: 0 };
  const twice = sex ? 2 * row[sex] : row.male + row.female;
  return rational(BigInt(twice), BigInt(2 * referenceKilocalories));
}

/**
 * One diner's weight in a year. An age is counted as year - birth year, so a diner's weight changes with the year and not within a round.
 * `policy`: per-head or energy; `year`: calendar year. Without a birth year the age band decides: an adult counts 1, a child the policy's
 * child weight. Gives an exact number, none negative.
 */
export function dinerWeight(diner: Diner, policy: Exclude<WeightPolicy, { scale: 'own' }>, year: number): Rational {
  const { ageBand, birthYear, sex } = diner;
  const age = birthYear === undefined ? undefined : Math.max(0, year - birthYear);
  if (policy.scale === 'energy' && age !== undefined) return energyWeight(age, sex);
  const isChild = age === undefined ? ageBand === 'child' : age < policy.childBelow;
  return isChild ? policy.childWeight : one;
}

/**
 * A household's headcount weight: the sum of its diners' weights, or its own number.
 * `diners`: who eats; `year`: calendar year; `own`: the household's own number, which the scale `own` needs. Gives an exact number, 0 for
 * nobody. Throws `invalid-input` when the scale is `own` and the number is missing or negative.
 */
export function headcountWeight(
  diners: readonly Diner[],
  policy: WeightPolicy,
  year: number,
  own?: Rational,
): Rational {
  if (policy.scale !== 'own') return diners.reduce((sum, diner) => add(sum, dinerWeight(diner, policy, year)), zero);
  if (!own || own.n < 0n) {
    throw invalidInput([
      { pointer: '#/ownWeight', detail: 'This cooperative needs a weight, not below nil, for every household.' },
    ]);
  }
  return own;
}
