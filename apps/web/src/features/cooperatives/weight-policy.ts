import { dinerWeight, perHeadPolicy, rational, type Rational, type WeightPolicy } from '@frostmoot/calc';
import type { Cooperative } from '../../lib/session.tsx';
import type { Diner } from './household-query.ts';

/** Below this age somebody whose year of birth is known counts as a child. */
export const CHILD_BELOW = perHeadPolicy.scale === 'own' ? 0 : perHeadPolicy.childBelow;

export type Counted = Pick<Diner, 'ageBand' | 'birthYear'>;

/** How the cooperative counts heads, as calc takes it. */
export function policyOf(cooperative: Pick<Cooperative, 'weightScale' | 'childWeight'>): WeightPolicy {
  const { weightScale: scale, childWeight } = cooperative;
  if (scale === 'own') return { scale };
  return { scale, childWeight: rational.parse(childWeight), childBelow: CHILD_BELOW };
}

export const yearOf = (isoDate: string): number => Number(isoDate.slice(0, 4));

/** What one diner counts for; null where the household has its own number. */
export function weightOf(diner: Counted, policy: WeightPolicy, year: number): Rational | null {
  if (policy.scale === 'own') return null;
  const { ageBand, birthYear } = diner;
  return dinerWeight(birthYear === null ? { ageBand } : { ageBand, birthYear }, policy, year);
}

/** A line of the sum that makes a headcount: so many who each count the same. */
export interface WeightLine {
  each: Rational;
  diners: number;
  total: Rational;
}

/** The diners by what they count for, the greatest first; for the scale by head these are adults and children. */
export function weightLines(diners: readonly Counted[], policy: WeightPolicy, year: number): WeightLine[] {
  const counts = new Map<string, number>();
  for (const diner of diners) {
    const each = weightOf(diner, policy, year);
    if (each) counts.set(rational.format(each), (counts.get(rational.format(each)) ?? 0) + 1);
  }
  return [...counts]
    .map(([text, number]) => {
      const each = rational.parse(text);
      return { each, diners: number, total: rational.mul(each, rational.rational(BigInt(number))) };
    })
    .sort((a, b) => rational.cmp(b.each, a.each));
}

/** Whether somebody counts as a child by the scale by head. */
export const isChild = ({ ageBand, birthYear }: Counted, year: number): boolean =>
  birthYear === null ? ageBand === 'child' : year - birthYear < CHILD_BELOW;
