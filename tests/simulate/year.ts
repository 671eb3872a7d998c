import { rational, readShareOut, shareContainers, snapCarried } from '@frostmoot/calc';
import type { Rational } from '@frostmoot/calc';
import type { Given, Method } from './methods.ts';
import { inputOf, portionsOf } from './methods.ts';
import type { Round, RoundLot } from './setting.ts';

const { abs, add, cmp, div, floor, max, min, mul, parse, rational: fraction, sub, zero } = rational;

/** What came of a year by one method. */
export interface Year {
  /** after each round the largest deviation from what was due so far, in portions */
  byRound: Rational[];
  /** of those, the largest of a household that took no part in the round */
  awayByRound: Rational[];
  worst: Rational;
  final: Rational;
  /** pairs of households and rounds in which one would rather have the other's part for its weight, even without its best container */
  envious: number;
  pairs: number;
  /** what each household would have had to get in each round to be owed nothing, and what it was owed then */
  targets: ReadonlyMap<string, Rational>[];
}

/** What is due to each household in each round by weight, given who may eat what; the same for every method. */
export function dueOf(year: readonly Round[]): ReadonlyMap<string, Rational>[] {
  // A dish in one piece is due in the same parts, and is divided at once.
  const whole = (lots: readonly RoundLot[]): RoundLot[] =>
    [...new Set(lots.map(({ dish }) => dish))].map((dish) => ({
      ...{ id: dish, dish, containers: 1 },
      portions: lots.reduce((all, lot) => all + (lot.dish === dish ? lot.containers * lot.portions : 0), 0),
    }));
  return year.map(({ members, lots }, i) => {
    const input = inputOf({ members, lots: whole(lots) }, new Map(), i);
    return shareContainers(readShareOut(input)).entitlement;
  });
}

function envy({ members, lots }: Round, given: Given): number {
  let found = 0;
  for (const one of members) {
    const eaten = lots.filter(({ dish }) => !one.excludes.includes(dish));
    const mine = portionsOf(eaten, given.get(one.id));
    for (const other of members) {
      if (other === one) continue;
      const theirs = given.get(other.id);
      const largest = eaten
        .filter(({ id }) => (theirs?.get(id) ?? 0) > 0)
        .map(({ portions }) => fraction(BigInt(portions)));
      const without = sub(portionsOf(eaten, theirs), largest.reduce(max, zero));
      if (cmp(mul(mine, parse(other.weight)), mul(without, parse(one.weight))) < 0) found += 1;
    }
  }
  return found;
}

/** A year of rounds by one method. */
export function simulate(year: readonly Round[], due: readonly ReadonlyMap<string, Rational>[], method: Method): Year {
  let owed = new Map<string, Rational>();
  const byRound: Rational[] = [];
  const awayByRound: Rational[] = [];
  const targets: ReadonlyMap<string, Rational>[] = [];
  let [envious, pairs] = [0, 0];
  year.forEach((round, i) => {
    const given = method(round, owed, i);
    const target = new Map(
      round.members.map(({ id }) => [id, add(owed.get(id) ?? zero, due[i]?.get(id) ?? zero)] as const),
    );
    targets.push(target);
    for (const [id, value] of target) owed.set(id, sub(value, portionsOf(round.lots, given.get(id))));
    // Long fractions are kept as the product keeps them, which does not change their sum.
    owed = snapCarried(owed, `round ${i}`).carried;
    envious += envy(round, given);
    pairs += round.members.length * (round.members.length - 1);
    byRound.push([...owed.values()].map(abs).reduce(max, zero));
    const away = [...owed].filter(([id]) => !target.has(id)).map(([, value]) => abs(value));
    awayByRound.push(away.reduce(max, zero));
  });
  return {
    byRound,
    awayByRound,
    worst: byRound.reduce(max, zero),
    final: byRound.at(-1) ?? zero,
    envious,
    pairs,
    targets,
  };
}

const gcd = (a: bigint, b: bigint): bigint => (b === 0n ? a : gcd(b, a % b));

/**
 * What the worst deviation of a year cannot be less than, by whatever method: all that a household has had by then is a whole multiple of the greatest common
 * divisor of all containers so far, and what was due so far lies somewhere between two such multiples. Exact, and needs no search.
 */
export function leastWorst(year: readonly Round[], due: readonly ReadonlyMap<string, Rational>[]): Rational {
  let unit = 0n;
  let least = zero;
  const soFar = new Map<string, Rational>();
  year.forEach(({ members, lots }, i) => {
    for (const { portions, containers } of lots) if (containers > 0) unit = gcd(BigInt(portions), unit);
    for (const { id } of members) {
      const amount = add(soFar.get(id) ?? zero, due[i]?.get(id) ?? zero);
      soFar.set(id, amount);
      const over = sub(amount, fraction(floor(div(amount, fraction(unit))) * unit));
      least = max(least, min(over, sub(fraction(unit), over)));
    }
  });
  return least;
}
