import type { Rational } from '../rational.ts';
import { add, cmp, div, max, min, mul, neg, sub, sum, zero } from '../rational.ts';
import { FlowNetwork } from './flow-network.ts';
import type { Fluid } from './nearest-base.ts';
import { commonDenominator, scaled } from './scale.ts';

/** The households that together want more than they may eat, by the most, and how much they may eat; undefined when all can have what they want. */
function overdrawn(fluid: Fluid, want: readonly Rational[]): { members: boolean[]; there: Rational } | undefined {
  const factor = commonDenominator([...want, ...fluid.supply]);
  const source = want.length + fluid.supply.length;
  const network = new FlowNetwork(source + 2);
  const wanted = want.map((value) => scaled(value, factor));
  const unlimited = wanted.reduce((a, b) => a + b, 1n);
  want.forEach((_, h) => {
    network.addArc(source, h, wanted[h] ?? 0n);
    fluid.supply.forEach((__, d) => {
      if (fluid.eats[h]?.[d]) network.addArc(h, want.length + d, unlimited);
    });
  });
  fluid.supply.forEach((value, d) => network.addArc(want.length + d, source + 1, scaled(value, factor)));
  if (network.run(source, source + 1) === unlimited - 1n) return undefined;
  const side = network.reachable(source);
  const members = want.map((_, h) => side[h] ?? false);
  return { members, there: sum(fluid.supply.filter((_, d) => members.some((is, h) => is && fluid.eats[h]?.[d]))) };
}

/** A household's amount at a level: aim + level x weight, at least nil and at most its limit; without a level all it can be given. */
type AmountAt = (h: number, level: Rational | undefined) => Rational;

/** The level at which a group's amounts sum to a value that they exceed at some higher level. */
function levelFor(
  fluid: Fluid,
  group: readonly number[],
  most: readonly (Rational | undefined)[],
  amountAt: AmountAt,
  value: Rational,
): Rational {
  const of = (values: readonly Rational[], h: number): Rational => values[h] ?? zero;
  const bends = group
    .flatMap((h) => {
      const limit = most[h];
      const starts = div(neg(of(fluid.aim, h)), of(fluid.weight, h));
      return limit ? [starts, div(sub(limit, of(fluid.aim, h)), of(fluid.weight, h))] : [starts];
    })
    .sort(cmp);
  const sumAt = (level: Rational): Rational => sum(group.map((h) => amountAt(h, level)));
  const above = bends.findIndex((bend) => cmp(sumAt(bend), value) >= 0);
  // Between two bends the sum is linear: from the last bend below the value it rises by the weights of those who are neither at nil nor at their limit.
  const from = above < 0 ? bends.at(-1) : bends[Math.max(0, above - 1)];
  const start = from ?? zero;
  if (above === 0) return start;
  const next = above < 0 ? add(start, { n: 1n, d: 1n }) : (bends[above] ?? start);
  const rise = div(sub(sumAt(next), sumAt(start)), sub(next, start));
  return add(start, div(sub(value, sumAt(start)), rise));
}

/**
 * nearestBase where households have limits of their own: nobody gets more than its limit, and the rest is divided among the others.
 * Method: water filling. The level rises for all until a group can have no more of what it may eat; that group keeps its amounts and the level rises on
 * for the others. Each level is found by Newton steps over the most overdrawn group (Radzik, Fractional combinatorial optimization, 1998), exact.
 * `most`: each household's limit, undefined for none. Gives an amount for each household; they sum to less than the supply when the limits do.
 */
export function cappedBase(fluid: Fluid, most: readonly (Rational | undefined)[]): Rational[] {
  const everything = sum(fluid.supply);
  const fixed: (Rational | undefined)[] = fluid.aim.map(() => undefined);
  const amountAt: AmountAt = (h, level) => {
    const limit = most[h];
    if (level === undefined) return limit ?? everything;
    const amount = max(zero, add(fluid.aim[h] ?? zero, mul(level, fluid.weight[h] ?? zero)));
    return limit ? min(limit, amount) : amount;
  };
  while (fixed.includes(undefined)) {
    let level: Rational | undefined;
    let last: boolean[] | undefined;
    const want = (): Rational[] => fixed.map((amount, h) => amount ?? amountAt(h, level));
    for (let over = overdrawn(fluid, want()); over; over = overdrawn(fluid, want())) {
      last = over.members;
      const group = last.flatMap((is, h) => (is && fixed[h] === undefined ? [h] : []));
      const kept = sum(last.map((is, h) => (is ? (fixed[h] ?? zero) : zero)));
      level = levelFor(fluid, group, most, amountAt, sub(over.there, kept));
    }
    const amounts = want();
    amounts.forEach((amount, h) => {
      if (!last || last[h]) fixed[h] ??= amount;
    });
  }
  return fixed.map((amount) => amount ?? zero);
}
