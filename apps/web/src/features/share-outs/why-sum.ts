import { rational, type Rational } from '@frostmoot/calc';
import type { ShareOutPart } from './share-out-query.ts';

/** The numbers of "Why 13?", in the order in which they are added up. */
export interface WhySum {
  /** Portions that were divided: those that at least one household may eat. */
  shared: Rational;
  weight: Rational;
  totalWeight: Rational;
  /** shared x weight / totalWeight */
  byWeight: Rational;
  entitlement: Rational;
  owedBefore: Rational;
  target: Rational;
  received: Rational;
  /** target - received: positive is still to come, negative is ahead */
  owedAfter: Rational;
  /** Whether the lines still add up when each is written with two decimals. */
  addsUpRounded: boolean;
}

const TWO_PLACES = rational.rational(1n, 100n);
const shown = (value: Rational): Rational => rational.roundTo(value, TWO_PLACES);

/** One household's sum out of the parts of all, exact. */
export function whySum(part: ShareOutPart, parts: readonly ShareOutPart[]): WhySum {
  const { parse, add, sub, mul, div, eq, sum, isZero } = rational;
  const shared = sum(parts.map(({ entitlement }) => parse(entitlement)));
  const [weight, totalWeight] = [parse(part.weight), parse(part.totalWeight)];
  const [entitlement, owedBefore, target] = [parse(part.entitlement), parse(part.owedBefore), parse(part.target)];
  const [received, owedAfter] = [parse(part.received), parse(part.owedAfter)];
  const byWeight = isZero(totalWeight) ? rational.zero : div(mul(shared, weight), totalWeight);
  const addsUpRounded =
    eq(add(shown(entitlement), shown(owedBefore)), shown(target)) &&
    eq(sub(shown(target), shown(received)), shown(owedAfter));
  return {
    shared,
    weight,
    totalWeight,
    byWeight,
    entitlement,
    owedBefore,
    target,
    received,
    owedAfter,
    addsUpRounded,
  };
}
