import type { BuyProblem, Ingredient } from './buy-problem.ts';
import { greatestExact } from './buy-problem.ts';
import type { CheapestCovers, Cover } from './cheapest-cover.ts';
import { hasSeller } from './cheapest-cover.ts';
import type { Chosen, CoverList } from './cover-lists.ts';
import { CoverLists, TooManyCombinations } from './cover-lists.ts';
import { TooManyCovers } from './covering.ts';
import type { Threshold } from './near-covers.ts';
import { nearCovers, priceParts, TooManyNearCovers, weigh } from './near-covers.ts';
import { coverOf, multiplierOf } from './plan-cost.ts';
import type { ToppingsUp, ToppingUp } from './topping-up.ts';
import { exactToppingUp } from './topping-up.ts';
import type { NetsOfNeeds, WeighedNets } from './weighed-net.ts';

/** What a search with thresholds works on. */
export interface ThresholdCase {
  readonly problem: BuyProblem;
  readonly covers: CheapestCovers;
  readonly toppings: ToppingsUp;
  readonly nets: NetsOfNeeds;
  /** the sellers that may be bought from */
  readonly allowed: number;
  readonly thresholds: readonly Threshold[];
  /** for each seller how many 1024ths were taken off its prices last time: where to begin; changed here */
  readonly off: number[];
}

/**
 * The covers that reach every threshold at the least net; none when there are none at most at the limit; `unresolved` when that could not be found
 * out, with a net that no such covers are under.
 */
export type ThresholdResult =
  | { readonly kind: 'found'; readonly covers: Cover[] }
  | { readonly kind: 'none' }
  | { readonly kind: 'unresolved'; readonly bound: bigint; readonly covers?: Cover[] };

/** Finer parts of prices, where the numbers stay exact. */
const fineParts = 64 * priceParts;
/** The first lists hold what is within this part of the bound, the first look goes a part of that. */
const firstSlack = 4096;
const firstLook = 16;

/** A need that some seller under a threshold has offers for; the others keep their cheapest cover. */
interface Open {
  readonly index: number;
  readonly ingredient: Ingredient;
  /** from the ingredient's scale to the problem's */
  readonly times: number;
  readonly nets: WeighedNets;
}

interface Weighing {
  readonly off: readonly number[];
  /** in 1024ths of the problem's scale: no covers that reach the thresholds are under it */
  readonly bound: number;
  /** for each threshold what is bought there */
  readonly goods: readonly number[];
}

interface Progress {
  /** no covers have a lower net */
  under: number;
  /** covers above it are of no interest */
  readonly limit: number;
  /** covers that reach the thresholds, if not the cheapest */
  covers: Cover[] | undefined;
}

/** Between which nets was looked, and above which covers are of no interest. */
interface Looked {
  readonly begin: number;
  readonly end: number;
  readonly limit: number;
}

class ThresholdSearch {
  private readonly given: ThresholdCase;
  private readonly scale: number;
  private readonly fixed: number;
  private readonly open: readonly Open[];
  private readonly parts: number;

  constructor(given: ThresholdCase, fixed: number, open: readonly Open[], parts: number) {
    this.given = given;
    this.fixed = fixed;
    this.open = open;
    this.parts = parts;
    this.scale = Number(given.problem.scale);
  }

  private partsOf(off: readonly number[]): number[] {
    const parts = this.given.problem.sellers.map(() => priceParts);
    this.given.thresholds.forEach(({ seller }, t) => (parts[seller] = priceParts - (off[t] ?? 0)));
    return parts;
  }

  private weighing(off: readonly number[]): Weighing {
    const { problem, thresholds, covers } = this.given;
    const parts = this.partsOf(off);
    const bought = problem.sellers.map(() => 0);
    let bound = this.fixed * priceParts;
    for (const { nets, times } of this.open) {
      bound += nets.of(parts, bought) * times;
    }
    covers.work += 10 * this.open.length;
    thresholds.forEach(({ goods }, t) => (bound += (off[t] ?? 0) * goods * this.scale));
    return { off, bound, goods: thresholds.map(({ seller }) => bought[seller] ?? 0) };
  }

  /** A high bound: more off where a threshold is missed, less where it is reached, by steps halved at each turn. Ends early above `enough`. */
  private weighed(enough: number): Weighing {
    const { thresholds, off: begin } = this.given;
    let off = thresholds.map(({ seller }) => begin[seller] ?? 0);
    const mostTries = off.every((value) => value > 0) ? 8 : 14;
    const steps = off.map((value): number => (value === 0 ? 128 : 32));
    const turns = off.map(() => 0);
    let best = this.weighing(off);
    for (let tries = 1, at = best; tries < mostTries && at.bound <= enough; tries += 1) {
      const { goods } = at;
      off = off.map((value, t) => {
        const turn = (goods[t] ?? 0) < (thresholds[t]?.goods ?? 0) ? 1 : -1;
        if (turn !== turns[t] && turns[t] !== 0) steps[t] = Math.floor((steps[t] ?? 0) / 2);
        turns[t] = turn;
        return Math.max(0, Math.min(priceParts, value + turn * (steps[t] ?? 0)));
      });
      if (steps.every((step) => step === 0)) break;
      at = this.weighing(off);
      if (at.bound > best.bound) best = at;
    }
    thresholds.forEach(({ seller }, t) => (begin[seller] = best.off[t] ?? 0));
    return best;
  }

  /** A net in the problem's scale that no covers which reach the thresholds are under. */
  bound(enough: number): number {
    return Math.ceil(this.weighed(enough * priceParts).bound / priceParts);
  }

  /** `limit`: in the problem's scale; covers above it are of no interest. */
  run(limit: number): ThresholdResult {
    const weighing = this.weighed(limit * priceParts);
    const lowest = Math.ceil(weighing.bound / priceParts);
    const progress: Progress = { under: lowest, limit, covers: undefined };
    try {
      for (let slack = Math.floor(Math.abs(lowest) / firstSlack); progress.under <= limit; slack = 2 * slack + 1) {
        const found = this.withinLists(weighing, Math.min(limit, lowest + slack), progress);
        if (found) return { kind: 'found', covers: found };
      }
      return { kind: 'none' };
    } catch (error) {
      const isTooMuch =
        error instanceof TooManyNearCovers || error instanceof TooManyCombinations || error instanceof TooManyCovers;
      if (!isTooMuch) throw error;
      return { kind: 'unresolved', bound: BigInt(progress.under), covers: progress.covers };
    }
  }

  /**
   * The cheapest covers of a net up to `limit`, or undefined when there are none. The limit is approached in doubling steps, because the first covers
   * that are found are the cheapest and there is less to look at below a low limit.
   */
  private withinLists(weighing: Weighing, limit: number, progress: Progress): Cover[] | undefined {
    const { thresholds, covers, allowed } = this.given;
    const { fixed, scale, parts } = this;
    const slack = limit * priceParts - weighing.bound;
    const counted = this.partsOf(weighing.off);
    const lists = this.open.map(({ ingredient, times }): CoverList => {
      const need = weigh(ingredient, allowed, counted);
      if (!need) throw new RangeError(`Nobody has enough ${ingredient.id}.`);
      return { covers: nearCovers(need, ingredient, thresholds, Math.floor(slack / times)), times };
    });
    const off = weighing.off.map((value) => value * Math.floor(parts / priceParts));
    const search = new CoverLists(lists, thresholds, { fixed, scale, parts, off });
    // Nothing in the lists is under the finer bound, and nothing outside of them is at or under the limit.
    const begin = Math.max(progress.under, search.lowest);
    let from = begin;
    for (let look = Math.floor((limit - from) / firstLook); from <= limit; look = Math.floor((look * 5) / 4) + 1) {
      const upTo = Math.min(limit, begin + look);
      progress.under = from;
      try {
        const found = search.cheapest(upTo, this.topUp);
        covers.work += search.work;
        if (found) return this.coversOf(lists, found);
      } catch (error) {
        // What was looked at before this step may still make covers that are nearly the cheapest.
        if (error instanceof TooManyCombinations)
          progress.covers = this.nearly(search, lists, { begin, end: upTo, limit: progress.limit });
        throw error;
      }
      from = upTo + 1;
    }
    progress.under = limit + 1;
    return undefined;
  }

  /** Covers that reach the thresholds at a low net, found among fewer combinations when no more can be looked at. */
  private nearly(search: CoverLists, lists: CoverList[], { begin, end, limit }: Looked): Cover[] | undefined {
    const within = begin + Math.floor((end - begin) / 2);
    try {
      for (let upTo = Math.min(limit, end); ; upTo = Math.min(limit, begin + 2 * (upTo - begin) + 1)) {
        const found = search.cheapest(upTo, this.topUp, within);
        if (found) return this.coversOf(lists, found);
        if (upTo === limit) return undefined;
      }
    } catch (error) {
      if (error instanceof TooManyCombinations) return undefined;
      throw error;
    }
  }

  private readonly topUp = (t: number, missing: number): ToppingUp | undefined => {
    if (missing > exactToppingUp) throw new TooManyCombinations();
    return this.given.toppings.simple(this.given.thresholds[t]?.seller ?? 0, missing);
  };

  private coversOf(lists: readonly CoverList[], { places, toppings }: Chosen<ToppingUp>): Cover[] {
    const { problem, covers, allowed } = this.given;
    const result = problem.ingredients.map((_, index) => covers.of(index, allowed) as Cover);
    this.open.forEach(({ index, ingredient }, k) => {
      result[index] = coverOf(ingredient, lists[k]?.covers[places[k] ?? 0]?.packs ?? []);
    });
    for (const { ingredient, place, count } of toppings.flatMap(({ packs }) => packs)) {
      const counts = new Map(result[ingredient]?.packs);
      counts.set(place, (counts.get(place) ?? 0) + count);
      const packs = [...counts].sort(([a], [b]) => a - b);
      result[ingredient] = coverOf(problem.ingredients[ingredient] as Ingredient, packs);
    }
    return result;
  }
}

/** The search for some thresholds, or what can be said without one: nothing reaches them, or the numbers are too large for it. */
function begun(given: ThresholdCase): ThresholdSearch | { bound: bigint } | undefined {
  const { problem, covers, allowed, thresholds } = given;
  const open: Open[] = [];
  let fixed = 0n;
  let cheapest = 0n;
  for (const [index, ingredient] of problem.ingredients.entries()) {
    const times = multiplierOf(problem, ingredient);
    const isOpen = thresholds.some(({ seller }) =>
      ingredient.options.some((option) => option.seller === seller && hasSeller(allowed, seller)),
    );
    const cover = covers.of(index, allowed);
    if (!cover) return undefined;
    cheapest += BigInt(cover.net) * times;
    if (isOpen) open.push({ index, ingredient, times: Number(times), nets: given.nets.of(index, allowed) });
    else fixed += BigInt(cover.net) * times;
  }
  const highest = highestOf(given);
  const parts = [fineParts, priceParts].find((each) => highest * BigInt(2 * each) <= greatestExact);
  return parts === undefined ? { bound: cheapest } : new ThresholdSearch(given, Number(fixed), open, parts);
}

function highestOf({ problem, thresholds }: ThresholdCase): bigint {
  const asked = thresholds.reduce((sum, { goods }) => sum + BigInt(goods), 0n);
  return 2n * (problem.greatest + asked * problem.scale);
}

const within = (given: ThresholdCase, limit: bigint): number => {
  const highest = highestOf(given);
  return Number(limit < highest ? limit : highest);
};

/** A net that no covers from the allowed sellers which reach the thresholds are under; undefined when there are none. Above `enough` it is not sought further. */
export function boundOfThresholds(given: ThresholdCase, enough: bigint): bigint | undefined {
  const search = begun(given);
  return search instanceof ThresholdSearch ? BigInt(search.bound(within(given, enough))) : search?.bound;
}

/**
 * The cheapest covers from the allowed sellers that reach thresholds, exactly.
 * Method: a bound by letting what is bought under a threshold cost less, then for each need every cover within a gap above it (nearCovers), and the
 * best choice among these (CoverLists); the gap is widened until something is found. `limit`: net in the problem's scale, inclusive.
 */
export function reachThresholds(given: ThresholdCase, limit: bigint): ThresholdResult {
  const search = begun(given);
  if (!search) return { kind: 'none' };
  if (!(search instanceof ThresholdSearch)) return { kind: 'unresolved', bound: search.bound };
  return search.run(within(given, limit));
}
