import type { Rational } from '../rational.ts';
import { div, isZero, max, mul, one, sign, sub, sum, zero } from '../rational.ts';
import { cappedBase } from './capped-base.ts';
import { nearestBase } from './nearest-base.ts';
import type { Problem } from './problem.ts';
import { supplyOf } from './problem.ts';

/** What is due to each household of this round alone, and by how much it stays under its weight's part of everything. */
export interface Entitlement {
  entitlement: Rational[];
  short: Rational[];
  /** portions that at least one household may eat */
  total: Rational;
}

/**
 * Each household's weighted leximin part of the portions given who may eat what, exact.
 * Method: nearestBase with the headcount weights (cappedBase where freezers set limits: nobody is entitled to more than its freezer stores, and what
 * that leaves goes to the others); without exclusions and limits it is total x weight / sum of weights. A household that may not eat some dishes
 * is first made whole from those it can eat. A dish that only households of weight nil may eat is divided equally among them, because
 * somebody may eat it and nobody else can. What nobody may eat is not in the total. `short` is total x weight / sum of weights -
 * entitlement where that is positive: no division can give more without taking it from somebody who has less per weight.
 */
export function entitlementOf(problem: Problem): Entitlement {
  const supply = supplyOf(
    problem,
    problem.lots.map(({ containers }) => containers),
  );
  const weights = problem.households.map(({ weight }) => weight);
  const entitlement = weights.map(() => zero);
  const counted = weights.flatMap((weight, h) => (isZero(weight) ? [] : [h]));
  const uncounted = weights.flatMap((weight, h) => (isZero(weight) ? [h] : []));
  const left = supply.map((amount, dish) => (counted.some((h) => problem.eats[h]?.[dish]) ? zero : amount));
  const give = (group: readonly number[], amounts: readonly Rational[], weightOf: (h: number) => Rational): void => {
    const eats = group.map((h) => problem.eats[h] ?? []);
    const fluid = { supply: amounts, eats, aim: group.map(() => zero), weight: group.map(weightOf) };
    const most = group.map((h) => problem.mostStored[h]);
    const shares = most.some((limit) => limit !== undefined) ? cappedBase(fluid, most) : nearestBase(fluid);
    group.forEach((h, i) => (entitlement[h] = shares[i] ?? zero));
  };
  give(counted, supply, (h) => weights[h] ?? zero);
  give(uncounted, left, () => one);
  const total = sum(supply.filter((_, dish) => problem.eats.some((row) => row[dish])));
  const allWeights = sum(weights);
  const short = weights.map((weight, h) => {
    if (sign(allWeights) === 0) return zero;
    return max(zero, sub(div(mul(total, weight), allWeights), entitlement[h] ?? zero));
  });
  return { entitlement, short, total };
}
