import { drawOrder } from '../allocation/draw.ts';
import { byCodeUnits } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, mul, rational, zero } from '../rational.ts';
import { mostStored } from './freezer-limit.ts';
import type { ShareHousehold, ShareLot, ShareOutInput } from './share-out-input.ts';

/** A share-out with numbers for names: households and lots in an order drawn by lot, so that nothing depends on how the input was written. */
export interface Problem {
  seed: string;
  households: readonly ShareHousehold[];
  lots: readonly ShareLot[];
  dishes: readonly string[];
  /** dish number of each lot */
  dishOf: readonly number[];
  /** what one container of each lot counts, in portions */
  value: readonly Rational[];
  /** eats[household][dish]: not excluded */
  eats: readonly (readonly boolean[])[];
  /** held[household][lot] */
  held: readonly (readonly number[])[];
  /** containers of each lot that nobody holds yet */
  free: readonly number[];
  varietyWindow: Rational;
  /** the most that each household's freezer can store of what it may eat, with what it holds; undefined without a limit */
  mostStored: readonly (Rational | undefined)[];
}

function drawn<T extends { id: string }>(seed: string, members: readonly T[]): T[] {
  const byId = new Map(members.map((member) => [member.id, member]));
  return drawOrder(seed, byId.keys()).flatMap((id) => byId.get(id) ?? []);
}

export function problemOf(input: ShareOutInput): Problem {
  const households = drawn(`households ${input.seed}`, input.households);
  const lots = drawn(`lots ${input.seed}`, input.lots);
  const dishes = [...new Set(lots.map(({ dish }) => dish))].sort(byCodeUnits);
  const held = households.map(({ holds }) => lots.map(({ id }) => holds.get(id) ?? 0));
  const free = lots.map(({ containers }, l) => containers - held.reduce((count, row) => count + (row[l] ?? 0), 0));
  return {
    seed: input.seed,
    households,
    lots,
    dishes,
    dishOf: lots.map(({ dish }) => dishes.indexOf(dish)),
    value: lots.map(({ portions, counts }) => mul(portions, counts)),
    eats: households.map(({ excludes }) => dishes.map((dish) => !excludes.has(dish))),
    held,
    free,
    varietyWindow: input.varietyWindow,
    mostStored: households.map((household, h) => mostStored(household, lots, held[h] ?? [], free)),
  };
}

/** Portions of each dish in these many containers of each lot. */
export function supplyOf({ dishes, dishOf, value }: Problem, containers: readonly number[]): Rational[] {
  const supply = dishes.map(() => zero);
  containers.forEach((count, l) => {
    const dish = dishOf[l] ?? 0;
    supply[dish] = add(supply[dish] ?? zero, mul(rational(BigInt(count)), value[l] ?? zero));
  });
  return supply;
}

/** What these many containers of each lot count together. */
export function portionsOf({ value }: Problem, containers: readonly number[]): Rational {
  return containers.reduce(
    (total, count, l) => (count === 0 ? total : add(total, mul(rational(BigInt(count)), value[l] ?? zero))),
    zero,
  );
}
