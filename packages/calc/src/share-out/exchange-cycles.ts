import { exchangeUnequal } from './exchange-unequal.ts';
import type { Holding } from './holding.ts';
import type { RoomToDiffer } from './room-to-differ.ts';
import { WishCosts } from './wish-costs.ts';

/** Containers that go from one household to the next, at most two, and what that costs in wishes at both ends. */
interface Parcel {
  cost: number;
  lots: readonly number[];
}

const nothing: Parcel = { cost: Infinity, lots: [] };

/** Rounds of improving at most, so that a huge input ends too. */
const mostRounds = 2000;

/** What it costs each household to give or take one or two containers of each dish, kept up to date household by household. */
export class Wishes {
  private readonly holding: Holding;
  private readonly cost: WishCosts;
  /** costs[by + 2][household][dish] for by from -2 to 2 */
  private readonly costs: number[][][];

  constructor(holding: Holding) {
    const { households } = holding.problem;
    this.holding = holding;
    this.cost = new WishCosts(holding);
    this.costs = [-2, -1, 0, 1, 2].map(() => households.map(() => []));
    households.forEach((_, h) => this.update(h));
  }

  update(h: number): void {
    this.costs.forEach((rows, i) => {
      rows[h] = this.holding.problem.dishes.map((_, dish) => this.changed(h, dish, i - 2));
    });
  }

  /** What it costs a household to have so many more (or fewer, at most two) containers of a dish. */
  change(h: number, dish: number, by: number): number {
    return this.costs[by + 2]?.[h]?.[dish] ?? 0;
  }

  private changed(h: number, dish: number, by: number): number {
    const count = this.holding.ofDish[h]?.[dish] ?? 0;
    return this.cost.of(h, dish, count + by) - this.cost.of(h, dish, count);
  }
}

/** All that can go from household to household, by size: the cheapest container of each size and the cheapest of another dish. */
class Market {
  private readonly holding: Holding;
  private readonly room: RoomToDiffer;
  private readonly wishes: Wishes;
  /** sizes of single containers, and every size that one or two of them make */
  readonly sizes: number[];
  private readonly pairs: Map<number, (readonly [number, number])[]>;
  private readonly lotsOfSize: number[][];

  constructor(holding: Holding, room: RoomToDiffer, wishes: Wishes) {
    this.holding = holding;
    this.room = room;
    this.wishes = wishes;
    const singles = [...new Set(holding.size)].sort((a, b) => a - b);
    this.lotsOfSize = singles.map((size) => holding.size.flatMap((other, l) => (other === size ? [l] : [])));
    this.pairs = new Map(singles.map((size, i) => [size, [[i, -1] as const]]));
    // With containers of one size a pair is two steps, and single ones are enough.
    if (singles.length > 1) {
      singles.forEach((a, i) =>
        singles.slice(i).forEach((b, j) => {
          const known = this.pairs.get(a + b);
          if (known) known.push([i, i + j]);
          else this.pairs.set(a + b, [[i, i + j]]);
        }),
      );
    }
    this.sizes = [...this.pairs.keys()];
  }

  /** The cheapest parcels of one container from a to b: for each size the best, and the best of another dish. */
  private singles(a: number, b: number): (readonly [Parcel, Parcel])[] {
    const { holding, wishes } = this;
    return this.lotsOfSize.map((lots) => {
      let [best, other] = [nothing, nothing];
      for (const l of lots) {
        if (holding.movable(a, l) === 0 || !this.room.mayTake[b]?.[l]) continue;
        const dish = holding.problem.dishOf[l] ?? 0;
        const cost = wishes.change(a, dish, -1) + wishes.change(b, dish, 1);
        const parcel = { cost, lots: [l] };
        const isSameDish = (p: Parcel): boolean =>
          p.lots[0] !== undefined && holding.problem.dishOf[p.lots[0]] === dish;
        if (cost < best.cost) {
          if (!isSameDish(best)) other = best;
          best = parcel;
        } else if (cost < other.cost && !isSameDish(best)) other = parcel;
      }
      return [best, other];
    });
  }

  private together(a: number, b: number, x: Parcel, y: Parcel): Parcel {
    const [i, j] = [x.lots[0], y.lots[0]];
    if (i === undefined || j === undefined) return nothing;
    const { dishOf } = this.holding.problem;
    if (i === j && this.holding.movable(a, i) < 2) return nothing;
    const dish = dishOf[i] ?? 0;
    const cost =
      dishOf[i] === dishOf[j] ? this.wishes.change(a, dish, -2) + this.wishes.change(b, dish, 2) : x.cost + y.cost;
    return { cost, lots: [i, j] };
  }

  /** The cheapest parcel of each size in `sizes` from a to b. */
  parcels(a: number, b: number): Parcel[] {
    const singles = this.singles(a, b);
    return this.sizes.map((size) => {
      let best = nothing;
      for (const [i, j] of this.pairs.get(size) ?? []) {
        const first = singles[i] ?? [nothing, nothing];
        const second = j < 0 ? undefined : (singles[j] ?? [nothing, nothing]);
        const found = second
          ? [
              this.together(a, b, first[0], second[0]),
              this.together(a, b, first[0], second[1]),
              this.together(a, b, first[1], second[0]),
            ]
          : [first[0]];
        for (const parcel of found) if (parcel.cost < best.cost) best = parcel;
      }
      return best;
    });
  }
}

/** A cycle of negative cost among the nodes, if there is one, as the list of its nodes in order (Bellman 1958, Ford 1956). */
function negativeCycle(cost: readonly (readonly number[])[]): number[] | undefined {
  const nodes = cost.length;
  const far = cost.map(() => 0);
  const via = cost.map(() => -1);
  for (let turn = 0; turn <= nodes; turn++) {
    let changed = -1;
    for (let a = 0; a < nodes; a++) {
      const row = cost[a] ?? [];
      const start = far[a] ?? 0;
      for (let b = 0; b < nodes; b++) {
        const there = start + (row[b] ?? Infinity);
        if (there >= (far[b] ?? 0)) continue;
        far[b] = there;
        via[b] = a;
        changed = b;
      }
    }
    if (changed < 0) return undefined;
    // A circle in the predecessors is a cycle of negative cost, and most are there long before the last turn.
    const cycle = circleIn(via, turn === nodes ? [changed] : far.keys());
    if (cycle) return cycle;
  }
  return undefined;
}

function circleIn(via: readonly number[], starts: Iterable<number>): number[] | undefined {
  const seen = via.map(() => -1);
  for (const start of starts) {
    let node = start;
    while (node >= 0 && seen[node] === -1) {
      seen[node] = start;
      node = via[node] ?? -1;
    }
    if (node < 0 || seen[node] !== start) continue;
    const cycle = [node];
    for (let at = via[node] ?? -1; at !== node; at = via[at] ?? -1) cycle.push(at);
    return cycle.reverse();
  }
  return undefined;
}

/** The exchanges of one size in circles among households; the last node stands for units that may be given up or gained within the room to differ. */
class Circle {
  private readonly holding: Holding;
  private readonly room: RoomToDiffer;

  constructor(holding: Holding, room: RoomToDiffer) {
    this.holding = holding;
    this.room = room;
  }

  /** Carries out a cycle of this size that is for the better and gives who took part; undefined when there is none that the freezers allow. */
  turn(
    parcels: readonly (readonly Parcel[])[][],
    k: number,
    size: number,
    now: readonly number[],
  ): number[] | undefined {
    const count = this.holding.problem.households.length;
    const cost = parcels.map((row) => [...row.map((list) => list[k]?.cost ?? Infinity), Infinity]);
    cost.push(Array.from({ length: count + 1 }, () => Infinity));
    for (let h = 0; h < count; h++) {
      const [least, most] = this.room.units[h] ?? [0, 0];
      const has = now[h] ?? 0;
      if (has + size <= most) (cost[h] ?? [])[count] = 0;
      if (has - size >= least) (cost[count] ?? [])[h] = 0;
    }
    const cycle = negativeCycle(cost);
    return cycle && this.carryOut(cycle, parcels, k);
  }

  private carryOut(
    cycle: readonly number[],
    parcels: readonly (readonly Parcel[])[][],
    k: number,
  ): number[] | undefined {
    const count = this.holding.problem.households.length;
    const steps = cycle.flatMap((a, i) => {
      const b = cycle[(i + 1) % cycle.length] ?? 0;
      return a === count || b === count ? [] : [{ a, b, lots: parcels[a]?.[b]?.[k]?.lots ?? [] }];
    });
    const fits = steps.every(({ b, lots }) => {
      const given = steps.find(({ a }) => a === b)?.lots ?? [];
      return this.holding.hasRoom(b, lots, given);
    });
    if (!fits) return undefined;
    for (const { a, b, lots } of steps) this.holding.move(lots, a, b);
    return cycle.filter((node) => node !== count);
  }
}

/**
 * Improves wishes without leaving the room to differ: fewer refused containers, fewer outside the fair share of their dish, higher scores, in this order.
 * Method: containers of one size in all go round in circles of households (cyclic exchange; Thompson and Psaraftis, Oper. Res. 41, 1993), found as
 * cycles of negative cost. What a household gives and what it gets are judged one by one, which never promises too much because the cost of a
 * dish is convex in its containers. With containers of one size and no freezer limits these are all cycles of a network flow, so that when
 * none is left the division is the best (Klein, Management Science 14, 1967). Gives whether it ended because nothing was left to improve.
 */
export function improveWishes(holding: Holding, room: RoomToDiffer): boolean {
  const households = holding.problem.households.map((_, h) => h);
  const wishes = new Wishes(holding);
  const market = new Market(holding, room, wishes);
  const circle = new Circle(holding, room);
  const parcels = households.map((a) => households.map((b) => (a === b ? [] : market.parcels(a, b))));
  const update = (changed: readonly number[]): void => {
    for (const a of changed) wishes.update(a);
    for (const a of changed) {
      for (const b of households) {
        if (a === b) continue;
        (parcels[a] ?? [])[b] = market.parcels(a, b);
        if (!changed.includes(b)) (parcels[b] ?? [])[a] = market.parcels(b, a);
      }
    }
  };
  for (let round = 0; round < mostRounds; round++) {
    const now = holding.unitsNow();
    let changed: readonly number[] | undefined;
    for (let k = 0; k < market.sizes.length && !changed; k++) {
      changed = circle.turn(parcels, k, market.sizes[k] ?? 0, now);
    }
    changed ??= exchangeUnequal(holding, room, wishes);
    if (!changed) return true;
    update(changed);
  }
  return false;
}
