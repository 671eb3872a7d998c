import type { Rational } from '../rational.ts';
import { add, div, mul, sign, sub, sum, zero } from '../rational.ts';
import { commonDenominator, scaled } from './scale.ts';
import { FlowNetwork } from './flow-network.ts';

/** Portions as a fluid: how much there is of each dish, who may eat it, what everyone aims at and how much a step counts for each. */
export interface Fluid {
  supply: readonly Rational[];
  /** eats[household][dish] */
  eats: readonly (readonly boolean[])[];
  aim: readonly Rational[];
  /** above nil */
  weight: readonly Rational[];
}

/** The households that together want more than they may eat, by the most; empty when all can have what they want. */
function mostViolated(
  fluid: Fluid,
  households: readonly number[],
  dishes: readonly number[],
  want: readonly Rational[],
): number[] {
  const supply = dishes.map((dish) => fluid.supply[dish] ?? zero);
  const factor = commonDenominator([...want, ...supply]);
  const source = households.length + dishes.length;
  const sink = source + 1;
  const network = new FlowNetwork(sink + 1);
  const wanted = want.map((value) => (sign(value) > 0 ? scaled(value, factor) : 0n));
  const unlimited = wanted.reduce((a, b) => a + b, 1n);
  households.forEach((household, i) => {
    network.addArc(source, i, wanted[i] ?? 0n);
    dishes.forEach((dish, j) => {
      if (fluid.eats[household]?.[dish]) network.addArc(i, households.length + j, unlimited);
    });
  });
  supply.forEach((value, j) => network.addArc(households.length + j, sink, scaled(value, factor)));
  if (network.run(source, sink) === unlimited - 1n) return [];
  const side = network.reachable(source);
  return households.filter((_, i) => side[i]);
}

function divide(fluid: Fluid, households: readonly number[], dishes: readonly number[], result: Rational[]): void {
  if (households.length === 0) return;
  const eatable = dishes.filter((dish) => households.some((household) => fluid.eats[household]?.[dish]));
  const of = (values: readonly Rational[]): Rational[] => households.map((household) => values[household] ?? zero);
  const total = sum(eatable.map((dish) => fluid.supply[dish] ?? zero));
  const step = div(sub(total, sum(of(fluid.aim))), sum(of(fluid.weight)));
  const want = households.map((household) =>
    add(fluid.aim[household] ?? zero, mul(step, fluid.weight[household] ?? zero)),
  );
  const violated = mostViolated(fluid, households, eatable, want);
  if (violated.length === 0) {
    households.forEach((household, i) => (result[household] = want[i] ?? zero));
    return;
  }
  const theirs = eatable.filter((dish) => violated.some((household) => fluid.eats[household]?.[dish]));
  divide(fluid, violated, theirs, result);
  const others = households.filter((household) => !violated.includes(household));
  divide(
    fluid,
    others,
    eatable.filter((dish) => !theirs.includes(dish)),
    result,
  );
}

/**
 * How much each household gets when everything that somebody may eat is divided: least sum of (amount - aim)^2 / weight, exact. With an
 * aim of nil for all this is the weighted leximin division: the least amount per weight as great as possible, then the next, and so on.
 * Method: decomposition. All step equally far per weight from their aims; if a group cannot have that much, the group that exceeds most what it
 * may eat gets all of it and the rest is divided without it. Source: Fujishige, Math. Oper. Res. 5 (1980); Groenevelt, Eur. J. Oper. Res. 54
 * (1991). `fluid`: amounts in any one unit. Gives an amount for each household, none negative, summing to what can be eaten; the result
 * is unique, so no tie can arise.
 */
export function nearestBase(fluid: Fluid): Rational[] {
  const result = fluid.aim.map(() => zero);
  divide(
    fluid,
    fluid.aim.map((_, i) => i),
    fluid.supply.map((_, j) => j),
    result,
  );
  return result;
}
