import type { NearCover, Threshold } from './near-covers.ts';

/** What a need may be covered with, and how many units of the problem's scale one unit of its nets is. */
export interface CoverList {
  readonly covers: readonly NearCover[];
  readonly times: number;
}

/** One cover from each list, by place. */
export interface Chosen<T> {
  readonly places: readonly number[];
  /** for each threshold missed what is bought on top to reach it */
  readonly toppings: readonly T[];
}

/** What reaching a threshold costs when so much is missing to it, minor units; undefined when it cannot be. */
export type TopUp<T> = (threshold: number, missing: number) => (T & { readonly cost: number }) | undefined;

/** Thrown when more combinations would have to be looked at than can be. */
export class TooManyCombinations extends Error {}

const mostInHalf = 400_000;
const mostPairs = 30_000_000;
const mostTries = 120;

/** A cover that is not the one its list has by itself at the least weighed net, and what that changes. */
interface Change {
  readonly place: number;
  /** weighed net above the least, in parts of the problem's scale */
  readonly rise: number;
  readonly goods: readonly number[];
}

/** Changes of some of the lists: all combinations of which the rises together stay under a slack. Entry 0 is without any change. */
interface Half {
  readonly rise: number[];
  /** for each threshold, for each entry */
  readonly goods: number[][];
  readonly parent: number[];
  readonly list: number[];
  readonly place: number[];
}

interface Weighed {
  readonly off: readonly number[];
  /** in parts of the problem's scale: no combination that reaches the thresholds is under it */
  readonly bound: number;
  /** the place of each list's least weighed net */
  readonly places: readonly number[];
  readonly goods: readonly number[];
}

interface Pair<T> {
  readonly first: number;
  readonly second: number;
  readonly rise: number;
  readonly toppings: readonly T[];
}

const from0 = (length: number): number[] => Array.from({ length }, () => 0);

const unchanged = (thresholds: number): Half => ({
  rise: [0],
  goods: Array.from({ length: thresholds }, () => [0]),
  parent: [-1],
  list: [-1],
  place: [-1],
});

/** Adds to a half every combination with a change of one more list, rises of at most `slack` together. Throws TooManyCombinations. */
function extend(half: Half, list: number, changes: readonly Change[], slack: number): void {
  const entries = half.rise.length;
  for (let entry = 0; entry < entries; entry += 1) {
    for (const { place, rise, goods } of changes) {
      const sum = (half.rise[entry] ?? 0) + rise;
      // The changes of a list stand by rising rise.
      if (sum > slack) break;
      if (half.rise.length >= mostInHalf) throw new TooManyCombinations();
      half.rise.push(sum);
      half.parent.push(entry);
      half.list.push(list);
      half.place.push(place);
      half.goods.forEach((all, t) => all.push((all[entry] ?? 0) + (goods[t] ?? 0)));
    }
  }
}

const byRise = (rise: readonly number[]): number[] =>
  rise.map((_, entry) => entry).sort((a, b) => (rise[a] ?? 0) - (rise[b] ?? 0));

/** The entries of a half by what they have of the one or two thresholds of which goods beyond cost most, in cells of about a window. */
class GoodsWindows {
  private readonly cells = new Map<number, number[]>();
  private readonly keys: readonly number[];
  private readonly widths: readonly number[];
  private readonly least: readonly number[];
  private readonly counts: readonly number[];
  private readonly over: readonly number[];
  private readonly under: readonly number[];

  constructor(half: Half, over: readonly number[], under: readonly number[], slack: number) {
    this.over = over;
    this.under = under;
    const byCost = over.map((_, t) => t).sort((a, b) => (over[b] ?? 0) - (over[a] ?? 0));
    this.keys = byCost.slice(0, 2).filter((t) => (over[t] ?? 0) > 0 && (under[t] ?? 0) > 0);
    this.widths = this.keys.map((t) => 1 + Math.floor(slack / (over[t] ?? 1)) + Math.floor(slack / (under[t] ?? 1)));
    const ranges = this.keys.map((t) => rangeOf(half.goods[t] ?? []));
    this.least = ranges.map(([least]) => least);
    this.counts = ranges.map(([least, most], k) => 1 + Math.floor((most - least) / (this.widths[k] ?? 1)));
    for (const entry of byRise(half.rise)) {
      let cell = 0;
      this.keys.forEach((t, k) => (cell = cell * (this.counts[k] ?? 1) + this.cellOf(k, half.goods[t]?.[entry] ?? 0)));
      const entries = this.cells.get(cell);
      if (entries) entries.push(entry);
      else this.cells.set(cell, [entry]);
    }
  }

  private cellOf(k: number, goods: number): number {
    return Math.floor((goods - (this.least[k] ?? 0)) / (this.widths[k] ?? 1));
  }

  /** Goes through entries that may have what is wanted within a slack, in each cell by rising rise, until `look` says that a cell is done. */
  near(wanted: readonly number[], slack: number, look: (entry: number) => boolean): void {
    const [[fromA, toA] = [0, 0], [fromB, toB] = [0, 0]] = this.keys.map((t, k) => {
      const goods = wanted[t] ?? 0;
      const from = this.cellOf(k, goods - Math.floor(slack / (this.under[t] ?? 1)));
      const to = this.cellOf(k, goods + Math.floor(slack / (this.over[t] ?? 1)));
      return [Math.max(0, from), Math.min((this.counts[k] ?? 1) - 1, to)] as const;
    });
    for (let a = fromA; a <= toA; a += 1) {
      for (let b = fromB; b <= toB; b += 1) {
        for (const entry of this.cells.get(a * (this.counts[1] ?? 1) + b) ?? []) if (!look(entry)) break;
      }
    }
  }
}

function rangeOf(values: readonly number[]): [number, number] {
  let [least, most] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}

/**
 * One cover from each of several lists so that thresholds are reached at the least net.
 * Method: a bound by letting goods under a threshold cost less (Lagrange multipliers; Everett, Operations Research 1963), as fine as `parts` allows;
 * then every combination within a slack above it, in two halves that are matched (Horowitz and Sahni, Journal of the ACM 1974).
 */
export class CoverLists {
  private readonly lists: readonly CoverList[];
  private readonly thresholds: readonly Threshold[];
  private readonly fixed: number;
  private readonly scale: number;
  private readonly parts: number;
  private readonly weighed: Weighed;
  /** how much has been looked at */
  work = 0;

  /** `fixed`: net of what is not in the lists; `off`: `parts`-ths to take off the goods of each threshold, to begin with. */
  constructor(
    lists: readonly CoverList[],
    thresholds: readonly Threshold[],
    { fixed, scale, parts, off }: { fixed: number; scale: number; parts: number; off: readonly number[] },
  ) {
    this.lists = lists;
    this.thresholds = thresholds;
    this.fixed = fixed;
    this.scale = scale;
    this.parts = parts;
    this.weighed = this.tuned(off);
  }

  /** No combination that reaches the thresholds has a lower net. */
  get lowest(): number {
    return Math.ceil(this.weighed.bound / this.parts);
  }

  private weighedNet({ net, goods }: NearCover, times: number, off: readonly number[]): number {
    let sum = net * times * this.parts;
    for (let t = 0; t < off.length; t += 1) sum -= (off[t] ?? 0) * (goods[t] ?? 0) * this.scale;
    return sum;
  }

  private weighing(off: readonly number[]): Weighed {
    let bound = this.fixed * this.parts;
    const goods = from0(off.length);
    const places = this.lists.map(({ covers, times }) => {
      let place = 0;
      let least = Infinity;
      covers.forEach((cover, at) => {
        const net = this.weighedNet(cover, times, off);
        if (net >= least) return;
        place = at;
        least = net;
      });
      covers[place]?.goods.forEach((amount, t) => (goods[t] = (goods[t] ?? 0) + amount));
      bound += least;
      return place;
    });
    this.thresholds.forEach(({ goods: asked }, t) => (bound += (off[t] ?? 0) * asked * this.scale));
    return { off, bound, places, goods };
  }

  /** The highest bound that can be found: more off where a threshold is missed, less where it is reached, by steps halved at each turn. */
  private tuned(begin: readonly number[]): Weighed {
    let off = [...begin];
    const steps = off.map((): number => Math.floor(this.parts / 64));
    const turns = from0(off.length);
    let best = this.weighing(off);
    for (let tries = 0, at = best; tries < mostTries && steps.some((step) => step > 0); tries += 1) {
      const { goods } = at;
      off = off.map((value, t) => {
        const turn = (goods[t] ?? 0) < (this.thresholds[t]?.goods ?? 0) ? 1 : -1;
        if (turn !== turns[t] && turns[t] !== 0) steps[t] = Math.floor((steps[t] ?? 0) / 2);
        turns[t] = turn;
        return Math.max(0, Math.min(this.parts, value + turn * (steps[t] ?? 0)));
      });
      at = this.weighing(off);
      if (at.bound > best.bound) best = at;
    }
    return best;
  }

  /** For each list the changes worth a look, those lists first of which the changes rise most. */
  private changes(slack: number): { list: number; changes: Change[] }[] {
    const { off, places } = this.weighed;
    const lists = this.lists.map(({ covers, times }, list) => {
      const base = covers[places[list] ?? 0] as NearCover;
      const least = this.weighedNet(base, times, off);
      const changes = covers.flatMap((cover, place): Change[] => {
        const rise = this.weighedNet(cover, times, off) - least;
        if (cover === base || rise > slack) return [];
        return [{ place, rise, goods: cover.goods.map((amount, t) => amount - (base.goods[t] ?? 0)) }];
      });
      return { list, changes: changes.sort((a, b) => a.rise - b.rise) };
    });
    const open = lists.filter(({ changes }) => changes.length > 0);
    return open.sort((a, b) => (b.changes[0]?.rise ?? 0) - (a.changes[0]?.rise ?? 0));
  }

  /**
   * The combination of the least net at or under the limit once its thresholds are topped up, or undefined when there is none. With `within`, only
   * halves of at most that slack are matched: what is found then need not be the cheapest. Throws TooManyCombinations.
   */
  cheapest<T>(limit: number, topUp: TopUp<T>, within = limit): Chosen<T> | undefined {
    const slack = limit * this.parts - this.weighed.bound;
    const halfSlack = within * this.parts - this.weighed.bound;
    if (slack < 0 || halfSlack < 0) return undefined;
    const [first, second] = [unchanged(this.thresholds.length), unchanged(this.thresholds.length)];
    for (const { list, changes } of this.changes(halfSlack)) {
      extend(second.rise.length < first.rise.length ? second : first, list, changes, halfSlack);
    }
    this.work += first.rise.length + second.rise.length;
    const pair = this.matched(first, second, slack, topUp);
    if (!pair) return undefined;
    const places = [...this.weighed.places];
    for (const [half, last] of [
      [first, pair.first],
      [second, pair.second],
    ] as const) {
      for (let entry = last; entry > 0; entry = half.parent[entry] ?? 0) {
        places[half.list[entry] ?? 0] = half.place[entry] ?? 0;
      }
    }
    return { places, toppings: pair.toppings };
  }

  /**
   * Of each half one entry, so that what both rise, what goods beyond the thresholds cost and what topping up costs is least. Goods beyond a threshold
   * and goods missing to it both cost, so that for each entry only a window of the other half comes into question.
   */
  private matched<T>(first: Half, second: Half, slack: number, topUp: TopUp<T>): Pair<T> | undefined {
    const { off, goods: base } = this.weighed;
    const asked = this.thresholds.map(({ goods }, t) => goods - (base[t] ?? 0));
    const over = off.map((value) => value * this.scale);
    const under = off.map((value) => (this.parts - value) * this.scale);
    const windows = new GoodsWindows(second, over, under, slack);
    let left = slack;
    let best: Pair<T> | undefined;
    let pairs = 0;
    for (const entry of byRise(first.rise)) {
      const own = first.rise[entry] ?? 0;
      if (own > left) break;
      const wanted = asked.map((goods, t) => goods - (first.goods[t]?.[entry] ?? 0));
      windows.near(wanted, left - own, (other) => {
        pairs += 1;
        let rise = own + (second.rise[other] ?? 0);
        if (rise > left || (best && rise >= best.rise)) return false;
        let isTopped = true;
        for (let t = 0; t < wanted.length; t += 1) {
          const beyond = (second.goods[t]?.[other] ?? 0) - (wanted[t] ?? 0);
          if (beyond < 0) isTopped = false;
          rise += beyond < 0 ? -beyond * (under[t] ?? 0) : beyond * (over[t] ?? 0);
        }
        if (rise > left || (best && rise >= best.rise)) return true;
        const found = isTopped ? { rise, toppings: [] } : this.toppedUp(first, second, entry, other, topUp);
        if (!found || found.rise > left || (best && found.rise >= best.rise)) return true;
        best = { first: entry, second: other, ...found };
        left = found.rise;
        return true;
      });
      if (pairs > mostPairs) throw new TooManyCombinations();
    }
    this.work += pairs;
    return best;
  }

  private toppedUp<T>(
    first: Half,
    second: Half,
    entry: number,
    other: number,
    topUp: TopUp<T>,
  ): { rise: number; toppings: T[] } | undefined {
    const { off, goods: base } = this.weighed;
    let rise = (first.rise[entry] ?? 0) + (second.rise[other] ?? 0);
    const toppings: T[] = [];
    for (const [t, { goods }] of this.thresholds.entries()) {
      const bought = (base[t] ?? 0) + (first.goods[t]?.[entry] ?? 0) + (second.goods[t]?.[other] ?? 0);
      const missing = goods - bought;
      rise -= missing * (off[t] ?? 0) * this.scale;
      if (missing <= 0) continue;
      const topping = topUp(t, missing);
      if (!topping) return undefined;
      rise += topping.cost * this.parts * this.scale;
      toppings.push(topping);
    }
    return { rise, toppings };
  }
}
