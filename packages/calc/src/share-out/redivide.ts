import type { Holding } from './holding.ts';
import type { RoomToDiffer } from './room-to-differ.ts';
import type { SizeClass } from './size-classes.ts';
import { classesOf } from './size-classes.ts';
import { WishCosts } from './wish-costs.ts';

/** Ways to divide one dish between two that are looked at; with more, the two are passed over. */
const mostWays = 1000;

/**
 * A dish that two divide: of each size class the first can have from so many containers on and so many different numbers of them. A way is all these numbers
 * in one, with the classes' spans as its bases.
 */
interface DishOfTwo {
  dish: number;
  least: number[];
  spans: number[];
  /** chosen[units]: the way in the cheapest division of the dishes up to this one in which the first has so many units */
  chosen: Int32Array;
}

/** Divides anew what two households have, the best for their wishes, with the units of both within the room to differ. */
export class Redivider {
  private readonly holding: Holding;
  private readonly room: RoomToDiffer;
  private readonly draw: (below: number) => number;
  private readonly classes: SizeClass[][];
  private readonly cost: WishCosts;
  /** mayTake[household][dish][class] */
  private readonly mayTake: boolean[][][];
  private readonly units: number[];
  private readonly order: number[];
  // Room that is used again and again, since this runs for every two households many times.
  private readonly tables: [Float64Array, Float64Array];
  private readonly chosen: Int32Array[];
  private readonly wayUnits = new Int32Array(mostWays);
  private readonly wayCost = new Float64Array(mostWays);
  /** steps of the computation so far, about a nanosecond each */
  work = 0;

  /** `draw`: gives a number from 0 on below another, by which equally good divisions are told apart. */
  constructor(holding: Holding, room: RoomToDiffer, draw: (below: number) => number) {
    const { households, dishes } = holding.problem;
    this.holding = holding;
    this.room = room;
    this.draw = draw;
    this.classes = classesOf(holding);
    this.cost = new WishCosts(holding);
    this.mayTake = households.map((_, h) =>
      this.classes.map((ofDish) => ofDish.map(({ lots }) => lots.every((l) => room.mayTake[h]?.[l]))),
    );
    this.units = holding.unitsNow();
    this.order = dishes.map((_, dish) => dish);
    const widest = room.units.reduce((n, [, most]) => Math.max(n, most), 0) + 1;
    this.tables = [new Float64Array(widest), new Float64Array(widest)];
    this.chosen = dishes.map(() => new Int32Array(widest));
  }

  /**
   * Method: dish by dish the cheapest division for every number of units of the first household (Bellman 1957; from memory), exact for the two. Of equally good ones any,
   * so that what two cannot better may be opened to others.
   */
  redivide(a: number, b: number): void {
    // Two that are passed over are steps too, so that whoever counts them comes to an end.
    this.work += 200;
    const { units, room } = this;
    const both = (units[a] ?? 0) + (units[b] ?? 0);
    const [leastOfA, mostOfA] = room.units[a] ?? [0, 0];
    const [leastOfB, mostOfB] = room.units[b] ?? [0, 0];
    const most = Math.min(mostOfA, both - leastOfB);
    const dishes: DishOfTwo[] = [];
    let [cost, next] = this.tables;
    cost.fill(Infinity, 0, most + 1);
    cost[0] = 0;
    let reached = 0;
    this.shuffle();
    for (const [i, dish] of this.order.entries()) {
      const ofA = this.holding.ofDish[a]?.[dish] ?? 0;
      const all = ofA + (this.holding.ofDish[b]?.[dish] ?? 0);
      if (all === 0) continue;
      const chosen = this.chosen[i] ?? new Int32Array(most + 1);
      const divided = this.rangesOf(dish, a, b, chosen);
      const ways = divided.spans.reduce((n, span) => n * span, 1);
      if (ways > mostWays) return;
      this.weigh(divided, ways, a, b, all);
      next.fill(Infinity, 0, most + 1);
      const first = this.draw(ways);
      let furthest = 0;
      for (let n = 0, k = first; n < ways; n++, k = k + 1 < ways ? k + 1 : 0) {
        const more = this.wayUnits[k] ?? 0;
        const own = this.wayCost[k] ?? 0;
        const end = Math.min(most, reached + more);
        if (end > furthest) furthest = end;
        for (let to = more; to <= end; to++) {
          const total = (cost[to - more] as number) + own;
          if (total >= (next[to] as number)) continue;
          next[to] = total;
          chosen[to] = k;
        }
      }
      this.work += ways * (most + 1);
      reached = furthest;
      [cost, next] = [next, cost];
      dishes.push(divided);
    }
    let best = units[a] ?? 0;
    for (let n = Math.max(0, leastOfA, both - mostOfB); n <= most; n++)
      if ((cost[n] ?? Infinity) < (cost[best] ?? Infinity)) best = n;
    if ((cost[best] ?? Infinity) !== Infinity) this.carryOut(dishes, best, a, b);
  }

  private shuffle(): void {
    const { order } = this;
    for (let i = order.length - 1; i > 0; i--) {
      const j = this.draw(i + 1);
      [order[i], order[j]] = [order[j] ?? 0, order[i] ?? 0];
    }
  }

  private rangesOf(dish: number, a: number, b: number, chosen: Int32Array): DishOfTwo {
    const { holding } = this;
    const found: DishOfTwo = { dish, least: [], spans: [], chosen };
    this.classes[dish]?.forEach(({ lots }, i) => {
      let [has, give, take] = [0, 0, 0];
      for (const l of lots) {
        has += holding.counts[a]?.[l] ?? 0;
        give += holding.movable(a, l);
        take += holding.movable(b, l);
      }
      if (!this.mayTake[b]?.[dish]?.[i]) give = 0;
      if (!this.mayTake[a]?.[dish]?.[i]) take = 0;
      found.least.push(has - give);
      found.spans.push(give + take + 1);
    });
    return found;
  }

  /** Units and cost of each way. */
  private weigh({ dish, least, spans }: DishOfTwo, ways: number, a: number, b: number, all: number): void {
    const classes = this.classes[dish] ?? [];
    for (let k = 0; k < ways; k++) {
      let [rest, units, count] = [k, 0, 0];
      for (let i = 0; i < spans.length; i++) {
        const span = spans[i] ?? 1;
        const n = (least[i] ?? 0) + (rest % span);
        rest = Math.floor(rest / span);
        units += n * (classes[i]?.size ?? 0);
        count += n;
      }
      this.wayUnits[k] = units;
      this.wayCost[k] = this.cost.of(a, dish, count) + this.cost.of(b, dish, all - count);
    }
  }

  private carryOut(dishes: readonly DishOfTwo[], end: number, a: number, b: number): void {
    const { holding } = this;
    const [toA, toB]: [number[], number[]] = [[], []];
    let units = end;
    for (let d = dishes.length - 1; d >= 0; d--) {
      const { dish, least, spans, chosen } = dishes[d] as DishOfTwo;
      let rest = chosen[units] ?? 0;
      for (const [i, { lots, size }] of (this.classes[dish] ?? []).entries()) {
        const span = spans[i] ?? 1;
        const count = (least[i] ?? 0) + (rest % span);
        rest = Math.floor(rest / span);
        units -= count * size;
        let more = count - lots.reduce((n, l) => n + (holding.counts[a]?.[l] ?? 0), 0);
        const [giver, moved] = more > 0 ? [b, toA] : [a, toB];
        more = Math.abs(more);
        for (const l of lots) {
          const taken = Math.min(more, holding.movable(giver, l));
          more -= taken;
          for (let n = 0; n < taken; n++) moved.push(l);
        }
      }
    }
    if (!holding.hasRoom(a, toA, toB) || !holding.hasRoom(b, toB, toA)) return;
    holding.move(toA, b, a);
    holding.move(toB, a, b);
    this.units[b] = (this.units[b] ?? 0) + (this.units[a] ?? 0) - end;
    this.units[a] = end;
  }
}
