import type { Holding } from './holding.ts';
import type { RoomToDiffer } from './room-to-differ.ts';
import { choices, classesOf } from './size-classes.ts';

/** Prices are whole multiples of one by this, so that every sum is a whole number and exact. */
const scale = 4096;

/** With more ways to have of a dish than this for one household, or more for all of everything, no bound is sought. */
const mostWays = 5000;
const mostWaysInAll = 500_000;

/** Turns at most, steps of the computation in all of them at most (about a nanosecond each). */
const mostTurns = 400;
const mostWork = 200_000_000;

/** Turns without gain after which the step is halved, and its first and least length in parts of a whole step. */
const patience = 20;
const wholeStep = 1024;
const leastStep = 20;
/** The ways that prices go are kept in parts as fine as this. */
const fine = 64;
/** What is a gain. */
const leastGain = 20;

/** What is counted in the wishes, each as small as possible, in the order in which they count. */
export type Counted = readonly [refused: number, outside: number, minusScore: number];

interface Way {
  counted: Counted;
  units: number;
  /** containers of each size class of the dish */
  counts: number[];
}

interface DishWays {
  /** numbers of the dish's size classes among all */
  classes: number[];
  ways: Way[];
  /** the ways by their units, and which of them is the cheapest at the prices of the turn */
  byUnits: { units: number; ways: Way[]; cheapest: Way | undefined }[];
}

interface HouseholdWays {
  least: number;
  most: number;
  dishes: DishWays[];
}

/**
 * Every way in which each household may have of each dish without being so far outside of its fair share, and how many containers of each size class there
 * are; undefined when there are too many.
 */
function waysOf(
  holding: Holding,
  room: RoomToDiffer,
  outside: number,
): { households: HouseholdWays[]; supply: number[] } | undefined {
  const { problem } = holding;
  const classes = classesOf(holding);
  const numbers: number[][] = [];
  const supply: number[] = [];
  for (const ofDish of classes) {
    numbers.push(ofDish.map((_, i) => supply.length + i));
    for (const { lots } of ofDish)
      supply.push(lots.reduce((n, l) => n + holding.counts.reduce((m, row) => m + (row[l] ?? 0), 0), 0));
  }
  const households: HouseholdWays[] = [];
  let inAll = 0;
  for (const [h, { refuses, scores }] of problem.households.entries()) {
    const [least, most] = room.units[h] ?? [0, 0];
    const dishes: DishWays[] = [];
    for (const [dish, name] of problem.dishes.entries()) {
      const ofDish = classes[dish] ?? [];
      const [fewest, mostFair] = holding.fair[h]?.[dish] ?? [0, 0];
      const ranges = ofDish.map(({ lots, size }): [number, number] => {
        let [held, all] = [0, 0];
        for (const l of lots) {
          const mine = problem.held[h]?.[l] ?? 0;
          held += mine;
          all += mine + (room.mayTake[h]?.[l] ? (problem.free[l] ?? 0) : 0);
        }
        const fits = size > 0 ? Math.min(all, Math.floor(most / size)) : all;
        return [held, Math.max(held, Math.min(fits, mostFair + outside))];
      });
      const ways = choices(ranges, mostWays)?.flatMap((counts): Way[] => {
        const units = counts.reduce((n, count, i) => n + count * (ofDish[i]?.size ?? 0), 0);
        const count = counts.reduce((n, m) => n + m, 0);
        const outside = Math.max(0, fewest - count, count - mostFair);
        const counted = [refuses.has(name) ? count : 0, outside, -count * (scores.get(name) ?? 0) + 0] as const;
        return units > most ? [] : [{ counted, units, counts }];
      });
      if (!ways || (inAll += ways.length) > mostWaysInAll) return undefined;
      dishes.push({ classes: numbers[dish] ?? [], ways, byUnits: [] });
    }
    // Within a window a household may be further below its target than it has units.
    households.push({ least: Math.max(0, least), most, dishes });
  }
  return { households, supply };
}

/** Leaves out every way that no division within the limits can contain, since the others have at least their least, and groups the rest. Gives whether each dish has a way left. */
function prune(households: readonly HouseholdWays[], limits: readonly number[]): boolean {
  const all = households.flatMap(({ dishes }) => dishes);
  limits.forEach((limit, i) => {
    const least = all.map(({ ways }) => ways.reduce((n, { counted }) => Math.min(n, counted[i] ?? 0), Infinity));
    const sum = least.reduce((a, b) => a + b, 0);
    all.forEach((dish, k) => {
      const spare = limit - sum + (least[k] ?? 0);
      dish.ways = dish.ways.filter(({ counted }) => (counted[i] ?? 0) <= spare);
    });
  });
  for (const dish of all) {
    const groups = new Map<number, Way[]>();
    for (const way of dish.ways) groups.set(way.units, [...(groups.get(way.units) ?? []), way]);
    dish.byUnits = [...groups].map(([units, ways]) => ({ units, ways, cheapest: ways[0] }));
  }
  return all.every(({ ways }) => ways.length > 0);
}

/** What all households choose at some prices: what that costs, and how many of everything they take. */
class Choosing {
  private readonly households: readonly HouseholdWays[];
  private readonly stage: number;
  private readonly room: Float64Array[];
  private readonly chosen: Int32Array[];
  readonly taken: number[];
  readonly counted: number[];

  constructor(households: readonly HouseholdWays[], stage: number, classes: number) {
    this.households = households;
    this.stage = stage;
    this.taken = Array.from({ length: classes }, () => 0);
    this.counted = Array.from({ length: stage }, () => 0);
    const widest = households.reduce((n, { most }) => Math.max(n, most), 0) + 1;
    const dishes = households[0]?.dishes.length ?? 0;
    this.room = [new Float64Array(widest), new Float64Array(widest)];
    this.chosen = Array.from({ length: dishes }, () => new Int32Array(widest));
  }

  /** Infinity when a household has no choice. */
  cost(prices: readonly number[], fines: readonly number[]): number {
    this.taken.fill(0);
    this.counted.fill(0);
    return this.households.reduce((sum, household) => sum + this.cheapest(household, prices, fines), 0);
  }

  private costOf({ classes }: DishWays, way: Way, prices: readonly number[], fines: readonly number[]): number {
    let cost = scale * (way.counted[this.stage] ?? 0);
    for (let i = 0; i < fines.length; i++) cost += (fines[i] ?? 0) * (way.counted[i] ?? 0);
    for (let i = 0; i < classes.length; i++) cost += (prices[classes[i] ?? 0] ?? 0) * (way.counts[i] ?? 0);
    return cost;
  }

  /** By dynamic programming, dish by dish, over the units that a household has so far. */
  private cheapest(
    { least, most, dishes }: HouseholdWays,
    prices: readonly number[],
    fines: readonly number[],
  ): number {
    let [cost, next] = this.room as [Float64Array, Float64Array];
    cost.fill(Infinity, 0, most + 1);
    cost[0] = 0;
    let reached = 0;
    for (let d = 0; d < dishes.length; d++) {
      const dish = dishes[d] as DishWays;
      const by = this.chosen[d] as Int32Array;
      next.fill(Infinity, 0, most + 1);
      let furthest = 0;
      for (let k = 0; k < dish.byUnits.length; k++) {
        const group = dish.byUnits[k] as DishWays['byUnits'][number];
        const { units } = group;
        let own = Infinity;
        for (const way of group.ways) {
          const price = this.costOf(dish, way, prices, fines);
          if (price < own) [own, group.cheapest] = [price, way];
        }
        const end = Math.min(most, reached + units);
        if (end > furthest) furthest = end;
        for (let to = units; to <= end; to++) {
          const total = (cost[to - units] as number) + own;
          if (total < (next[to] as number)) {
            next[to] = total;
            by[to] = k;
          }
        }
      }
      reached = furthest;
      [cost, next] = [next, cost];
    }
    let best = least;
    for (let n = least + 1; n <= most; n++) if ((cost[n] as number) < (cost[best] as number)) best = n;
    const total = cost[best] as number;
    if (total !== Infinity) this.take(dishes, best);
    return total;
  }

  private take(dishes: readonly DishWays[], end: number): void {
    let units = end;
    for (let d = dishes.length - 1; d >= 0; d--) {
      const dish = dishes[d];
      const way = dish?.byUnits[this.chosen[d]?.[units] ?? 0]?.cheapest;
      if (!dish || !way) continue;
      units -= way.units;
      dish.classes.forEach((c, i) => (this.taken[c] = (this.taken[c] ?? 0) + (way.counts[i] ?? 0)));
      for (let i = 0; i < this.counted.length; i++) this.counted[i] = (this.counted[i] ?? 0) + (way.counted[i] ?? 0);
    }
  }
}

const product = (a: readonly number[], b: readonly number[]): number => a.reduce((n, x, i) => n + x * (b[i] ?? 0), 0);

/**
 * A number that no division within the room to differ goes below in one of the wishes, without going above the values given in those before it.
 * Method: Lagrangian relaxation (Geoffrion, Math. Programming Study 2, 1974; from memory). Containers have prices instead of being there in limited numbers, and so have
 * the wishes before; then every household by itself chooses the cheapest whole containers that make its units. Whatever the prices, no division costs less
 * than all these choices less the price of all there is. Prices rise for what too many choose and fall for what too few do (subgradient, deflected;
 * Camerini, Fratta and Maffioli, Math. Programming Study 3, 1975; from memory). All numbers are whole and none is too large to be, so the bound is exact. Only divisions that are better than the
 * one in view are looked at, which makes the bound stronger. Freezers are passed over, which makes it weaker.
 * `stage`: which of wishNames; `values`: the wishes of the division in view, in which nothing that somebody may eat is left over.
 */
export function priceBound(holding: Holding, room: RoomToDiffer, stage: number, values: Counted): number {
  const value = values[stage] ?? 0;
  const found = waysOf(holding, room, stage > 0 ? values[1] : Infinity);
  if (!found) return -Infinity;
  const { households, supply } = found;
  const before = values.slice(0, stage);
  if (!prune(households, [...before, value - 1])) return value;
  const work = households.reduce(
    (n, { most, dishes }) => n + dishes.reduce((m, { byUnits }) => m + byUnits.length * (most + 1), 0),
    0,
  );
  const all = households.flatMap(({ dishes }) => dishes);
  const heaviest = ({ ways }: DishWays): number =>
    ways.reduce((n, { counted }) => Math.max(n, Math.abs(counted[stage] ?? 0)), 0);
  const weight = scale * all.reduce((n, dish) => n + heaviest(dish), 0);
  const choosing = new Choosing(households, stage, supply.length);
  // The prices of containers, then of wishes; what there is of both.
  const there = [...supply, ...before];
  let prices = there.map((_, i): number => (i < supply.length ? 0 : scale));
  let bestPrices = prices;
  let way = there.map(() => 0);
  let best = -Infinity;
  let [step, waited] = [wholeStep, 0];
  for (let turn = 0; turn < mostTurns && (turn + 1) * work <= mostWork && step >= leastStep; turn++) {
    // No sum of this turn is greater, so that all are exact.
    if (!Number.isSafeInteger(2 * (weight + all.length * product(prices.map(Math.abs), there)))) break;
    const chosen = choosing.cost(prices.slice(0, supply.length), prices.slice(supply.length));
    // A household without a choice: no division is better.
    if (chosen === Infinity) return value;
    const total = chosen - product(prices, there);
    waited = total > best + leastGain ? 0 : waited + 1;
    if (total > best) [best, bestPrices] = [total, prices];
    if (best > scale * (value - 1)) return value;
    const excess = [...choosing.taken, ...choosing.counted].map((taken, i) => taken - (there[i] ?? 0));
    if (excess.every((off) => off === 0)) break;
    if (waited >= patience) {
      [step, waited] = [Math.floor(step / 2), 0];
      prices = bestPrices;
      way = there.map(() => 0);
      continue;
    }
    const length = product(way, way);
    // Where the old way opposes the new one, it is kept one and a half times as far as that.
    const back = length > 0 ? Math.max(0, Math.floor((-3 * fine * fine * product(way, excess)) / (2 * length))) : 0;
    way = way.map((old, i) => fine * (excess[i] ?? 0) + Math.floor((back * old) / fine));
    const rise = step * (scale * value - total) * fine;
    const whole = wholeStep * product(way, way);
    if (whole === 0) break;
    prices = prices.map((price, i) => {
      const next = price + Math.floor((rise * (way[i] ?? 0)) / whole);
      return i < supply.length ? next : Math.max(0, next);
    });
  }
  return Math.min(value, -Math.floor(-best / scale));
}
