import type { Rational } from '../rational.ts';
import { add, mul, rational, zero } from '../rational.ts';
import { commonDenominator, gcd, scaled } from './scale.ts';
import type { ShareHousehold, ShareLot } from './share-out-input.ts';

interface Kind {
  ml: number;
  worth: bigint;
  count: number;
}

/** More fillings than this are never looked at one by one; the best is then bounded from above by what a fluid would fill. */
const mostFillings = 200_000;

/** Fillings of a freezer by what they take, the ones kept that no other beats in both space and worth. */
function bestFilling(kinds: readonly Kind[], room: number): bigint {
  let fillings: (readonly [ml: number, worth: bigint])[] = [[0, 0n]];
  for (const { ml, worth, count } of kinds) {
    // Bundles of 1, 2, 4, ... containers make every number up to the count.
    let left = count;
    for (let next = 1; left > 0; next *= 2) {
      const bundle = Math.min(next, left);
      left -= bundle;
      const [size, value] = [ml * bundle, worth * BigInt(bundle)];
      const more = fillings.flatMap(([used, total]) =>
        used + size <= room ? [[used + size, total + value] as const] : [],
      );
      fillings = unbeaten([...fillings, ...more]);
      if (fillings.length > mostFillings) return fluidFilling(kinds, room);
    }
  }
  return fillings.at(-1)?.[1] ?? 0n;
}

function unbeaten(fillings: (readonly [ml: number, worth: bigint])[]): (readonly [ml: number, worth: bigint])[] {
  fillings.sort(([a, x], [b, y]) => a - b || (x < y ? 1 : x > y ? -1 : 0));
  let best = -1n;
  return fillings.filter(([, worth]) => {
    if (worth <= best) return false;
    best = worth;
    return true;
  });
}

/** The densest first, the last container cut: never less than what whole containers can fill. */
function fluidFilling(kinds: readonly Kind[], room: number): bigint {
  let left = BigInt(room);
  let total = 0n;
  for (const { ml, worth, count } of [...kinds].sort((a, b) =>
    b.worth * BigInt(a.ml) > a.worth * BigInt(b.ml) ? 1 : -1,
  )) {
    const space = BigInt(ml) * BigInt(count);
    if (space > left) return total + (worth * left) / BigInt(ml);
    left -= space;
    total += worth * BigInt(count);
  }
  return total;
}

/**
 * The most portions that a household's freezer can store: what it holds already and the best that fits beside it of what it may eat and nobody holds.
 * Method: the knapsack of whole containers, exact (Bellman 1957; only fillings that none other beats are kept). `held`: its containers of
 * each lot; `free`: containers of each lot that nobody holds. Gives undefined for a household without a freezer limit.
 */
export function mostStored(
  { freezerMl, excludes }: ShareHousehold,
  lots: readonly ShareLot[],
  held: readonly number[],
  free: readonly number[],
): Rational | undefined {
  if (freezerMl === undefined) return undefined;
  const values = lots.map(({ portions, counts }) => mul(portions, counts));
  const factor = commonDenominator(values);
  const kinds = new Map<string, Kind>();
  let room = freezerMl;
  let holds = zero;
  lots.forEach(({ dish, containerMl = 0, containers }, l) => {
    const mine = held[l] ?? 0;
    room -= mine * containerMl;
    holds = add(holds, mul(rational(BigInt(mine)), values[l] ?? zero));
    const worth = scaled(values[l] ?? zero, factor);
    if (excludes.has(dish) || worth === 0n || containers === 0) return;
    const key = `${containerMl} ${worth}`;
    const count = (kinds.get(key)?.count ?? 0) + (free[l] ?? 0);
    kinds.set(key, { ml: containerMl, worth, count });
  });
  if (room <= 0) return holds;
  const step = Number([...kinds.values()].map(({ ml }) => BigInt(ml)).reduce(gcd, 0n)) || 1;
  const whole = [...kinds.values()].map((kind) => {
    const ml = Math.floor(kind.ml / step);
    return { ...kind, ml, count: Math.min(kind.count, Math.floor(room / kind.ml)) };
  });
  return add(holds, rational(bestFilling(whole, Math.floor(room / step)), factor));
}
