import { type Fraction, nil, sumOf, whole } from './fraction.ts';

export interface Eater {
  name: string;
  weight: Fraction;
  /** dishes that it may eat */
  mayEat: ReadonlySet<string>;
}

/**
 * Who gets how many portions when each dish goes only to those who may eat it and the worst share by weight is as large as can be, then the next worst.
 * By hand: of all sets of dishes, the one whose portions are fewest for the weight of those who can eat nothing else gives those people their shares;
 * take both out and go on. Sixteen sets of four dishes need no flow. (The principal partition; Megiddo, Mathematical Programming 1974, is the source for
 * the fairest flow, this is its smallest form.)
 */
export function fairShares(eaters: readonly Eater[], portions: ReadonlyMap<string, number>): Map<string, Fraction> {
  const shares = new Map<string, Fraction>();
  let dishes = [...portions.keys()];
  let left = eaters;
  while (left.length > 0) {
    const sets = subsets(dishes).flatMap((set) => {
      const bound = left.filter(({ mayEat }) => dishes.every((dish) => !mayEat.has(dish) || set.has(dish)));
      if (bound.length === 0) return [];
      const weight = sumOf(bound.map((eater) => eater.weight));
      const supply = whole([...set].reduce((sum, dish) => sum + (portions.get(dish) ?? 0), 0));
      return [{ set, bound, ratio: supply.over(weight) }];
    });
    const [first, ...rest] = sets;
    if (!first) throw new Error('Somebody is bound by no set of dishes');
    const scarcest = rest.reduce((best, next) => (next.ratio.isLess(best.ratio) ? next : best), first);
    for (const { name, weight } of scarcest.bound) shares.set(name, scarcest.ratio.times(weight));
    left = left.filter((eater) => !scarcest.bound.includes(eater));
    dishes = dishes.filter((dish) => !scarcest.set.has(dish));
  }
  return new Map(eaters.map(({ name }) => [name, shares.get(name) ?? nil]));
}

const subsets = (dishes: readonly string[]): Set<string>[] =>
  Array.from(
    { length: 2 ** dishes.length },
    (_, bits) => new Set(dishes.filter((_dish, index) => (bits >> index) % 2 === 1)),
  );
