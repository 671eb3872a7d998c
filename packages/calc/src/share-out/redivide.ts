import { outsideCost, refusedCost } from './exchange-cycles.ts';
import type { Holding } from './holding.ts';
import type { RoomToDiffer } from './room-to-differ.ts';
import type { SizeClass } from './size-classes.ts';
import { choices, classesOf } from './size-classes.ts';

/** Ways to divide one dish between two that are looked at; with more, the two are passed over. */
const mostWays = 1000;

/** One way to divide the containers of a dish between two households: how many of each size the first has, in units, and what that costs both in wishes. */
interface Way {
  counts: readonly number[];
  units: number;
  cost: number;
}

interface DishOfTwo {
  dish: number;
  ways: Way[];
  /** chosen[units]: the way of the cheapest division of the dishes up to this one in which the first has so many units */
  chosen: Int32Array;
}

/** Divides anew what two households have, the best for their wishes, with the units of both within the room to differ. */
export class Redivider {
  private readonly holding: Holding;
  private readonly room: RoomToDiffer;
  private readonly draw: (below: number) => number;
  private readonly classes: SizeClass[][];
  private readonly units: number[];
  /** steps of the computation so far, about a nanosecond each */
  work = 0;

  /** `draw`: gives a number from 0 on below another, by which equally good divisions are told apart. */
  constructor(holding: Holding, room: RoomToDiffer, draw: (below: number) => number) {
    this.holding = holding;
    this.room = room;
    this.draw = draw;
    this.classes = classesOf(holding);
    this.units = holding.unitsNow();
  }

  /**
   * Method: dish by dish the cheapest division for every number of units of the first household (Bellman 1957), exact for the two. Of equally good ones any,
   * so that what two cannot better may be opened to others.
   */
  redivide(a: number, b: number): void {
    const { units, room } = this;
    const both = (units[a] ?? 0) + (units[b] ?? 0);
    const [leastOfA, mostOfA] = room.units[a] ?? [0, 0];
    const [leastOfB, mostOfB] = room.units[b] ?? [0, 0];
    const most = Math.min(mostOfA, both - leastOfB);
    const dishes: DishOfTwo[] = [];
    let cost = new Float64Array(most + 1).fill(Infinity);
    cost[0] = 0;
    for (const dish of this.drawnDishes()) {
      const ways = this.waysOf(dish, a, b, most);
      if (!ways) return;
      if (ways.length === 0) continue;
      const next = new Float64Array(most + 1).fill(Infinity);
      const chosen = new Int32Array(most + 1);
      const first = this.draw(ways.length);
      for (let i = 0; i < ways.length; i++) {
        const k = (first + i) % ways.length;
        const { units: more = 0, cost: own = 0 } = ways[k] ?? {};
        for (let from = 0; from + more <= most; from++) {
          const total = (cost[from] ?? Infinity) + own;
          if (total >= (next[from + more] ?? Infinity)) continue;
          next[from + more] = total;
          chosen[from + more] = k;
        }
      }
      this.work += ways.length * (most + 1) + 200;
      cost = next;
      dishes.push({ dish, ways, chosen });
    }
    let best = units[a] ?? 0;
    for (let n = Math.max(0, leastOfA, both - mostOfB); n <= most; n++)
      if ((cost[n] ?? Infinity) < (cost[best] ?? Infinity)) best = n;
    if (cost[best] !== Infinity) this.carryOut(dishes, best, a, b);
  }

  private drawnDishes(): number[] {
    const order = this.classes.map((_, dish) => dish);
    for (let i = order.length - 1; i > 0; i--) {
      const j = this.draw(i + 1);
      [order[i], order[j]] = [order[j] ?? 0, order[i] ?? 0];
    }
    return order;
  }

  /** All ways of one dish; none when neither has of it, undefined when there are too many. */
  private waysOf(dish: number, a: number, b: number, most: number): Way[] | undefined {
    const { holding, room } = this;
    const classes = this.classes[dish] ?? [];
    const sum = (lots: readonly number[], of: (l: number) => number): number => lots.reduce((n, l) => n + of(l), 0);
    const mayTake = (h: number, lots: readonly number[]): boolean => lots.every((l) => room.mayTake[h]?.[l]);
    const ranges = classes.map(({ lots }): [number, number] => {
      const has = sum(lots, (l) => holding.counts[a]?.[l] ?? 0);
      const least = mayTake(b, lots) ? has - sum(lots, (l) => holding.movable(a, l)) : has;
      return [least, mayTake(a, lots) ? has + sum(lots, (l) => holding.movable(b, l)) : has];
    });
    const [ofA, ofB] = [holding.ofDish[a]?.[dish] ?? 0, holding.ofDish[b]?.[dish] ?? 0];
    if (ofA + ofB === 0) return [];
    return choices(ranges, mostWays)?.flatMap((counts): Way[] => {
      const units = counts.reduce((n, count, i) => n + count * (classes[i]?.size ?? 0), 0);
      if (units > most) return [];
      const count = counts.reduce((n, m) => n + m, 0);
      return [{ counts, units, cost: this.cost(a, dish, count) + this.cost(b, dish, ofA + ofB - count) }];
    });
  }

  private cost(h: number, dish: number, count: number): number {
    const { households, dishes } = this.holding.problem;
    const [least, most] = this.holding.fair[h]?.[dish] ?? [0, 0];
    const name = dishes[dish] ?? '';
    const ofContainer = (households[h]?.refuses.has(name) ? refusedCost : 0) - (households[h]?.scores.get(name) ?? 0);
    return count * ofContainer + outsideCost * Math.max(0, least - count, count - most);
  }

  private carryOut(dishes: readonly DishOfTwo[], end: number, a: number, b: number): void {
    const { holding } = this;
    const [toA, toB]: [number[], number[]] = [[], []];
    let units = end;
    for (const { dish, ways, chosen } of [...dishes].reverse()) {
      const way = ways[chosen[units] ?? 0];
      units -= way?.units ?? 0;
      this.classes[dish]?.forEach(({ lots }, i) => {
        let more = (way?.counts[i] ?? 0) - lots.reduce((n, l) => n + (holding.counts[a]?.[l] ?? 0), 0);
        const [giver, moved] = more > 0 ? [b, toA] : [a, toB];
        more = Math.abs(more);
        for (const l of lots) {
          const taken = Math.min(more, holding.movable(giver, l));
          more -= taken;
          for (let n = 0; n < taken; n++) moved.push(l);
        }
      });
    }
    if (!holding.hasRoom(a, toA, toB) || !holding.hasRoom(b, toB, toA)) return;
    holding.move(toA, b, a);
    holding.move(toB, a, b);
    this.units[b] = (this.units[b] ?? 0) + (this.units[a] ?? 0) - end;
    this.units[a] = end;
  }
}
