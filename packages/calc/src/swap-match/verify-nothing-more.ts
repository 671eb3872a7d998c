import type { Rational } from '../rational.ts';
import { abs, add, cmp, format, sub, zero } from '../rational.ts';
import type { SwapMatchInput } from './swap-input.ts';

/** What nobody has been given away or got so far: of each offer and of each want. */
export interface Left {
  offers: ReadonlyMap<string, number>;
  wants: ReadonlyMap<string, number>;
  balance: ReadonlyMap<string, Rational>;
}

/** Who could still give one container to whom, by household: the sizes of those containers, as text. */
function possible(input: SwapMatchInput, left: Left): Map<string, Map<string, Map<string, Rational>>> {
  const getters = new Map<string, string[]>();
  for (const { id, household, dish } of input.wants) {
    if ((left.wants.get(id) ?? 0) <= 0 || input.excludes.get(household)?.has(dish)) continue;
    if (input.offers.some((offer) => offer.household === household && offer.dish === dish)) continue;
    getters.set(dish, [...(getters.get(dish) ?? []), household]);
  }
  const arcs = new Map<string, Map<string, Map<string, Rational>>>();
  for (const { id, household, dish, portions } of input.offers) {
    if ((left.offers.get(id) ?? 0) <= 0) continue;
    const mine = arcs.get(household) ?? new Map<string, Map<string, Rational>>();
    arcs.set(household, mine);
    for (const other of getters.get(dish) ?? []) {
      const sizes = mine.get(other) ?? new Map<string, Rational>();
      mine.set(other, sizes.set(format(portions), portions));
    }
  }
  return arcs;
}

/** Whether arcs hold a ring: what leads nowhere is taken away until nothing changes. */
function hasRing(arcs: readonly (readonly [string, string])[]): boolean {
  let rest = arcs;
  for (;;) {
    const givers = new Set(rest.map(([from]) => from));
    const inner = rest.filter(([, to]) => givers.has(to));
    if (inner.length === rest.length) return rest.length > 0;
    rest = inner;
  }
}

/** Whether containers of one size could go in a ring, or from somebody who may give more by others to somebody who may get more. */
function hasWay(
  arcs: readonly (readonly [string, string])[],
  size: Rational,
  { balance }: Left,
  credit: Rational,
): boolean {
  if (hasRing(arcs)) return true;
  const to = new Map<string, string[]>();
  for (const [from, other] of arcs) to.set(from, [...(to.get(from) ?? []), other]);
  const of = (household: string): Rational => balance.get(household) ?? zero;
  const reached = new Set([...to.keys()].filter((household) => cmp(add(of(household), size), credit) <= 0));
  for (const household of reached) {
    for (const other of to.get(household) ?? []) {
      if (cmp(sub(size, of(other)), credit) <= 0) return true;
      reached.add(other);
    }
  }
  return false;
}

/** Whether two or three could still swap one container each by hand, of whatever sizes, within the credit. */
function hasShortRing(
  arcs: ReadonlyMap<string, ReadonlyMap<string, ReadonlyMap<string, Rational>>>,
  limit: 2 | 3,
  { balance }: Left,
  credit: Rational,
): boolean {
  const sizes = (from: string, to: string): Rational[] => [...(arcs.get(from)?.get(to)?.values() ?? [])];
  const keeps = (household: string, gives: Rational, gets: Rational): boolean =>
    cmp(abs(add(balance.get(household) ?? zero, sub(gives, gets))), credit) <= 0;
  for (const [a, fromA] of arcs) {
    for (const [b, first] of fromA) {
      for (const x of first.values()) {
        if (sizes(b, a).some((y) => keeps(a, x, y) && keeps(b, y, x))) return true;
        if (limit === 2) continue;
        for (const [c, second] of arcs.get(b) ?? []) {
          if (c === a) continue;
          for (const y of second.values()) {
            if (!keeps(b, y, x)) continue;
            if (sizes(c, a).some((z) => keeps(c, z, y) && keeps(a, x, z))) return true;
          }
        }
      }
    }
  }
  return false;
}

/**
 * Whether more portions could obviously move beside those that do: containers of one size in a ring, or along a line whose ends are within the credit; with a
 * ring limit a ring that is short enough. A matching in which that is so is not the best; one in which it is not may still be bettered by taking moves back.
 */
export function couldMoveMore(input: SwapMatchInput, left: Left): boolean {
  const arcs = possible(input, left);
  if (input.ringLimit !== undefined) return hasShortRing(arcs, input.ringLimit, left, input.creditPortions);
  const bySize = new Map<string, { size: Rational; arcs: [string, string][] }>();
  for (const [from, others] of arcs) {
    for (const [to, sizes] of others) {
      for (const [text, size] of sizes) {
        const entry = bySize.get(text) ?? { size, arcs: [] };
        bySize.set(text, entry);
        entry.arcs.push([from, to]);
      }
    }
  }
  return [...bySize.values()].some(({ size, arcs: some }) => hasWay(some, size, left, input.creditPortions));
}
