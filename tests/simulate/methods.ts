import { allocateByWeight, rational, readShareOut, shareContainers } from '@frostmoot/calc';
import type { Rational } from '@frostmoot/calc';
import type { Round, RoundLot } from './setting.ts';

const { add, cmp, div, parse, rational: fraction, zero } = rational;

/** Household to lot to containers. */
export type Given = Map<string, Map<string, number>>;

/** Divides one round; `owed` is what earlier rounds left, which only ours looks at. */
export type Method = (round: Round, owed: ReadonlyMap<string, Rational>, number: number) => Given;

function give(given: Given, household: string, lot: string, count: number): void {
  if (count === 0) return;
  const mine = given.get(household) ?? new Map<string, number>();
  given.set(household, mine.set(lot, (mine.get(lot) ?? 0) + count));
}

/** Every lot by itself among those who may eat it, by weight and largest remainder (Hamilton), as a table on the wall would. */
const perDish: Method = ({ members, lots }, _, number) => {
  const given: Given = new Map();
  for (const { id, dish, containers } of lots) {
    const eaters = members.filter(({ excludes }) => !excludes.includes(dish));
    if (eaters.length === 0) continue;
    const shares = new Map(eaters.map((member) => [member.id, parse(member.weight)]));
    for (const [household, count] of allocateByWeight(BigInt(containers), shares, `round ${number} ${id}`))
      give(given, household, id, Number(count));
  }
  return given;
};

/**
 * Whoever has least for its weight takes the largest container that it may eat, until nothing is left: a weighted picking sequence (Chakraborty, Igarashi,
 * Suksompong and Zick, ACM Transactions on Economics and Computation 9, 2021), which is free of weighted envy up to one item.
 */
const picking: Method = ({ members, lots }) => {
  const given: Given = new Map();
  const left = new Map(lots.map(({ id, containers }) => [id, containers]));
  const had = new Map(members.map(({ id }) => [id, 0]));
  let open = members.map((member, i) => ({ ...member, i, each: parse(member.weight) }));
  while (open.length > 0) {
    // By picks, not by portions: the sequence does not depend on what is picked.
    const next = open.reduce((a, b) => {
      const at = (one: typeof a): Rational => div(fraction(BigInt(had.get(one.id) ?? 0)), one.each);
      return cmp(at(b), at(a)) < 0 ? b : a;
    });
    const best = lots
      .filter(({ id, dish }) => (left.get(id) ?? 0) > 0 && !next.excludes.includes(dish))
      .reduce<RoundLot | undefined>((a, b) => (a && a.portions >= b.portions ? a : b), undefined);
    if (!best) {
      open = open.filter(({ id }) => id !== next.id);
      continue;
    }
    give(given, next.id, best.id, 1);
    left.set(best.id, (left.get(best.id) ?? 0) - 1);
    had.set(next.id, (had.get(next.id) ?? 0) + 1);
  }
  return given;
};

/** The share-out of the product without its solver, so that the same figures come out on every machine. */
const ours: Method = (round, owed, number) => shareContainers(readShareOut(inputOf(round, owed, number))).containers;

/** The input of a share-out of a round. */
export const inputOf = ({ members, lots }: Round, owed: ReadonlyMap<string, Rational>, number: number): unknown => ({
  seed: `round ${number}`,
  households: members.map((member) => ({ ...member, owed: rational.format(owed.get(member.id) ?? zero) })),
  lots,
});

export const methods = { 'by dish': perDish, picking, ours } satisfies Record<string, Method>;
export type MethodName = keyof typeof methods;

/** Portions of what somebody has. */
export const portionsOf = (lots: readonly RoundLot[], mine: ReadonlyMap<string, number> | undefined): Rational =>
  lots.reduce((total, { id, portions }) => add(total, fraction(BigInt((mine?.get(id) ?? 0) * portions))), zero);
