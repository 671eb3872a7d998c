import type { BuyProblem, Ingredient } from './buy-problem.ts';
import { priceParts } from './buy-problem.ts';
import type { CheapestCovers, Cover } from './cheapest-cover.ts';
import { hasSeller } from './cheapest-cover.ts';
import { TooManyCovers } from './covering.ts';
import type { NearCover, Threshold, WeighedNeed } from './near-covers.ts';
import { nearCovers, TooManyNearCovers, weigh } from './near-covers.ts';
import { coverOf, multiplierOf } from './plan-cost.ts';
import type { ToppingsUp, ToppingUp } from './topping-up.ts';
import { exactToppingUp } from './topping-up.ts';

/** What a search with thresholds works on. */
export interface ThresholdCase {
  readonly problem: BuyProblem;
  readonly covers: CheapestCovers;
  readonly toppings: ToppingsUp;
  /** the sellers that may be bought from */
  readonly allowed: number;
  readonly thresholds: readonly Threshold[];
}

/**
 * The covers that reach every threshold at the least net; none when there are none at most at the limit; `unresolved` when that could not be found
 * out, with a net that no such covers are under.
 */
export type ThresholdResult =
  | { readonly kind: 'found'; readonly covers: Cover[] }
  | { readonly kind: 'none' }
  | { readonly kind: 'unresolved'; readonly bound: bigint };

const mostStates = 20_000;
/** Pairs of a state and a cover that are looked at for one set of thresholds. */
const mostPairs = 5_000_000;
class TooManyStates extends Error {}

/** A need that some seller under a threshold has offers for; the others keep their cheapest cover. */
interface Open {
  readonly index: number;
  readonly ingredient: Ingredient;
  /** from the ingredient's scale to the problem's */
  readonly times: number;
}

interface Weighing {
  /** in 64ths of the problem's scale: no covers that reach the thresholds are under it */
  readonly bound: number;
  readonly needs: readonly WeighedNeed[];
  /** for each threshold what is bought there */
  readonly goods: readonly number[];
}

interface State {
  readonly goods: readonly number[];
  readonly net: number;
  readonly from: number;
  readonly choice: number;
}

class ThresholdSearch {
  private readonly scale: number;
  private readonly fixed: number;
  private readonly open: readonly Open[];
  private readonly given: ThresholdCase;

  constructor(given: ThresholdCase, fixed: number, open: readonly Open[]) {
    this.given = given;
    this.fixed = fixed;
    this.open = open;
    this.scale = Number(given.problem.scale);
  }

  /** Prices of each threshold's seller with `parts[t]` 64ths taken off; undefined when a need cannot be covered. */
  private weighing(off: readonly number[]): Weighing {
    const { problem, thresholds, allowed, covers } = this.given;
    const parts = problem.sellers.map(() => priceParts);
    thresholds.forEach(({ seller }, t) => (parts[seller] = priceParts - (off[t] ?? 0)));
    const goods = thresholds.map(() => 0);
    let bound = this.fixed * priceParts;
    const needs = this.open.map(({ ingredient, times }) => {
      const need = weigh(ingredient, allowed, parts);
      if (!need) throw new RangeError(`Nobody has enough ${ingredient.id}.`);
      bound += need.net * times;
      need.places.forEach((place, k) => {
        const { seller, price } = ingredient.options[place] ?? { seller: -1, price: 0 };
        const t = thresholds.findIndex((threshold) => threshold.seller === seller);
        if (t >= 0) goods[t] = (goods[t] ?? 0) + price * (need.counts[k] ?? 0);
      });
      covers.work += need.levels.reduce((sum, { length }) => sum + length, 0);
      return need;
    });
    thresholds.forEach((threshold, t) => (bound += (off[t] ?? 0) * threshold.goods * this.scale));
    return { bound, needs, goods };
  }

  /** How much to take off so that the bound is as high as can be found: each threshold in turn by halving. */
  private bestWeighing(enough: number): { off: number[]; weighing: Weighing } {
    const { thresholds } = this.given;
    let off = thresholds.map(() => 0);
    let best = { off, weighing: this.weighing(off) };
    for (let round = 0; round < (thresholds.length > 1 ? 2 : 1); round += 1) {
      thresholds.forEach((threshold, t) => {
        let [low, high] = [0, priceParts];
        while (low <= high && best.weighing.bound <= enough) {
          const middle = Math.floor((low + high) / 2);
          const tried = off.map((value, at) => (at === t ? middle : value));
          const weighing = this.weighing(tried);
          if (weighing.bound > best.weighing.bound) best = { off: tried, weighing };
          if ((weighing.goods[t] ?? 0) < threshold.goods) low = middle + 1;
          else high = middle - 1;
        }
        off = best.off;
      });
    }
    return best;
  }

  /** `limit`: in the problem's scale; covers above it are of no interest. */
  run(limit: number): ThresholdResult {
    const { off, weighing } = this.bestWeighing(limit * priceParts);
    const slack = limit * priceParts - weighing.bound;
    if (slack < 0) return { kind: 'none' };
    try {
      const choices = this.open.map(({ ingredient, times }, k) =>
        nearCovers(weighing.needs[k] as WeighedNeed, ingredient, this.given.thresholds, Math.floor(slack / times)),
      );
      const result = this.finish(this.combine(choices, off, weighing, limit), choices, limit);
      if (result) return result;
    } catch (error) {
      const isTooMuch =
        error instanceof TooManyNearCovers || error instanceof TooManyStates || error instanceof TooManyCovers;
      if (!isTooMuch) throw error;
    }
    return { kind: 'unresolved', bound: BigInt(Math.ceil(weighing.bound / priceParts)) };
  }

  /** Needs one after the other, keeping the undominated pairs of goods and net that can still end at or under the limit. */
  private combine(
    choices: readonly NearCover[][],
    off: readonly number[],
    weighing: Weighing,
    limit: number,
  ): State[][] {
    const { thresholds } = this.given;
    const asked = thresholds.map(({ goods }) => goods);
    let rest = weighing.needs.reduce((sum, { net }, k) => sum + net * (this.open[k]?.times ?? 1), 0);
    const levels: State[][] = [[{ goods: asked.map(() => 0), net: this.fixed, from: 0, choice: 0 }]];
    let pairs = 0;
    choices.forEach((near, k) => {
      pairs += near.length * (levels[k]?.length ?? 0);
      if (pairs > mostPairs) throw new TooManyStates();
      const { times } = this.open[k] as Open;
      rest -= (weighing.needs[k]?.net ?? 0) * times;
      const next: State[] = [];
      (levels[k] ?? []).forEach((state, from) => {
        near.forEach((cover, choice) => {
          const net = state.net + cover.net * times;
          const goods = state.goods.map((amount, t) => Math.min(asked[t] ?? 0, amount + (cover.goods[t] ?? 0)));
          const missing = goods.reduce((sum, amount, t) => sum + (off[t] ?? 0) * ((asked[t] ?? 0) - amount), 0);
          if (net * priceParts + rest + missing * this.scale <= limit * priceParts)
            next.push({ goods, net, from, choice });
        });
      });
      levels.push(undominatedStates(next));
    });
    this.given.covers.work += pairs;
    return levels;
  }

  /** Undefined when a topping up too large to be exact decides. */
  private finish(
    levels: readonly State[][],
    choices: readonly NearCover[][],
    limit: number,
  ): ThresholdResult | undefined {
    const { thresholds, toppings } = this.given;
    let best: { net: number; at: number; extra: ToppingUp[] } | undefined;
    let isUnsure = false;
    (levels[levels.length - 1] ?? []).forEach((state, at) => {
      let net = state.net;
      const extra: ToppingUp[] = [];
      for (const [t, { seller, goods }] of thresholds.entries()) {
        const missing = goods - (state.goods[t] ?? 0);
        if (missing <= 0) continue;
        if (net + missing * this.scale > Math.min(limit, best?.net ?? limit)) return;
        if (missing > exactToppingUp) {
          isUnsure = true;
          return;
        }
        const topping = toppings.simple(seller, missing);
        if (!topping) return;
        net += topping.cost * this.scale;
        extra.push(topping);
      }
      if (net <= limit && (!best || net < best.net)) best = { net, at, extra };
    });
    if (isUnsure) return undefined;
    return best ? { kind: 'found', covers: this.coversOf(levels, choices, best.at, best.extra) } : { kind: 'none' };
  }

  private coversOf(
    levels: readonly State[][],
    choices: readonly NearCover[][],
    last: number,
    extra: readonly ToppingUp[],
  ): Cover[] {
    const { problem, covers, allowed } = this.given;
    const result = problem.ingredients.map((_, index) => covers.of(index, allowed) as Cover);
    let at = last;
    for (let k = choices.length - 1; k >= 0; k -= 1) {
      const { from = 0, choice = 0 } = levels[k + 1]?.[at] ?? {};
      const { index, ingredient } = this.open[k] as Open;
      result[index] = coverOf(ingredient, choices[k]?.[choice]?.packs ?? []);
      at = from;
    }
    for (const { ingredient, place, count } of extra.flatMap(({ packs }) => packs)) {
      const counts = new Map(result[ingredient]?.packs);
      counts.set(place, (counts.get(place) ?? 0) + count);
      const packs = [...counts].sort(([a], [b]) => a - b);
      result[ingredient] = coverOf(problem.ingredients[ingredient] as Ingredient, packs);
    }
    return result;
  }
}

function undominatedStates(states: State[]): State[] {
  states.sort((a, b) => a.net - b.net || total(b.goods) - total(a.goods));
  const kept: State[] = [];
  for (const state of states) {
    const isOne = state.goods.length === 1;
    const last = kept[kept.length - 1];
    const isDominated = isOne
      ? last !== undefined && (last.goods[0] ?? 0) >= (state.goods[0] ?? 0)
      : kept.some(({ goods }) => goods.every((amount, t) => amount >= (state.goods[t] ?? 0)));
    if (isDominated) continue;
    if (kept.length >= mostStates) throw new TooManyStates();
    kept.push(state);
  }
  return kept;
}

const total = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/**
 * The cheapest covers from the allowed sellers that reach thresholds, exactly.
 * Method: a bound by letting what is bought under a threshold cost less (Lagrange multipliers in 64ths; Everett, Operations Research 1963), then for
 * each need every cover within the gap that this leaves (nearCovers), and dynamic programming over goods and net. `limit`: net in the problem's
 * scale, inclusive.
 */
export function reachThresholds(given: ThresholdCase, limit: bigint): ThresholdResult {
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
    if (!cover) return { kind: 'none' };
    cheapest += BigInt(cover.net) * times;
    if (isOpen) open.push({ index, ingredient, times: Number(times) });
    else fixed += BigInt(cover.net) * times;
  }
  const asked = thresholds.reduce((sum, { goods }) => sum + BigInt(goods), 0n);
  const greatest = (problem.dearest + asked) * problem.scale * BigInt(priceParts) * 4n;
  if (greatest > BigInt(Number.MAX_SAFE_INTEGER)) {
    return { kind: 'unresolved', bound: cheapest };
  }
  const highest = 2n * (problem.dearest + asked) * problem.scale;
  return new ThresholdSearch(given, Number(fixed), open).run(Number(limit < highest ? limit : highest));
}
