import type { Ingredient, PackOption } from './buy-problem.ts';
import { valueOf } from './buy-problem.ts';
import type { Packs } from './cheapest-cover.ts';
import { bestPoint, hasSeller } from './cheapest-cover.ts';
import type { Frontier } from './covering.ts';
import { nothingBought, packsOf, withOffer } from './covering.ts';
import { isSimple } from './topping-up.ts';

/** Prices that count only in part count in this many parts. */
export const priceParts = 1024;

/** A seller whose goods must come to at least so much, minor units. */
export interface Threshold {
  readonly seller: number;
  readonly goods: number;
}

/** A need when every price of a seller under a threshold counts only in part, so that buying more there looks cheaper. */
export interface WeighedNeed {
  /** only the options of allowed sellers, costs in 1024ths of the ingredient's scale */
  readonly weighed: Ingredient;
  /** place of each option in the ingredient itself */
  readonly places: readonly number[];
  readonly levels: readonly Frontier[];
  readonly net: number;
  /** how many packs of each option, in the order of `places` */
  readonly counts: readonly number[];
}

/** `parts`: for each seller how many 1024ths of its prices count. Undefined when the allowed sellers do not have enough. Throws TooManyCovers. */
export function weigh(ingredient: Ingredient, allowed: number, parts: readonly number[]): WeighedNeed | undefined {
  const places: number[] = [];
  const options: PackOption[] = [];
  // Written out because this is done very often.
  for (let place = 0; place < ingredient.options.length; place += 1) {
    const option = ingredient.options[place];
    if (!option || !hasSeller(allowed, option.seller)) continue;
    const { id, seller, price, size, least, most } = option;
    places.push(place);
    options.push({ id, seller, price, size, least, most, cost: option.cost * (parts[seller] ?? priceParts) });
  }
  const weighed: Ingredient = {
    ...ingredient,
    options,
    perStep: ingredient.perStep * priceParts,
    offset: ingredient.offset * priceParts,
    mostValue: ingredient.mostValue * priceParts,
  };
  const levels: Frontier[] = [nothingBought];
  let frontier: Frontier = nothingBought;
  for (const option of options) {
    frontier = withOffer(frontier, option, ingredient.cap);
    levels.push(frontier);
  }
  const best = bestPoint(weighed, frontier);
  return best && { weighed, places, levels, net: best.net, counts: packsOf(levels, best.point) };
}

/** One way to cover a need that may be worth it because of what is bought from the sellers under a threshold. */
export interface NearCover {
  /** for each threshold the goods bought there, not above what it asks */
  readonly goods: readonly number[];
  /** cost less worth in the ingredient's scale */
  readonly net: number;
  readonly packs: Packs;
}

/** Thrown when more covers are nearly best than can be compared. */
export class TooManyNearCovers extends Error {}

const mostFound = 50_000;
const mostKept = 3000;

/** Packs of the last options; the options before them are still to be chosen. */
interface Begun {
  readonly size: number;
  readonly cost: number;
  readonly weighed: number;
  readonly goods: readonly number[];
  readonly from: number;
  readonly count: number;
}

const sumOf = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** Without those that cost as much as another and are neither larger nor bring more goods. */
function undominated(found: Begun[]): Begun[] {
  found.sort((a, b) => a.cost - b.cost || b.size - a.size || sumOf(b.goods) - sumOf(a.goods));
  const kept: Begun[] = [];
  for (const each of found) {
    const isDominated = kept.some(
      (other) => other.size >= each.size && other.goods.every((amount, t) => amount >= (each.goods[t] ?? 0)),
    );
    if (isDominated) continue;
    if (kept.length >= mostKept) throw new TooManyNearCovers();
    kept.push(each);
  }
  return kept;
}

/** The least weighed net with points of a frontier on top of what is begun, or undefined when they are not enough. */
function leastWith(weighed: Ingredient, frontier: Frontier, size: number, cost: number): number | undefined {
  let least: number | undefined;
  for (const point of frontier) {
    const total = Math.min(weighed.cap, size + point.size);
    if (total < weighed.needed) continue;
    const net = cost + point.cost - valueOf(weighed, total);
    if (least === undefined || net < least) least = net;
    if (weighed.mostValue === 0) break;
  }
  return least;
}

/** From how many packs to how many of an option are worth a look. Beyond what the need takes simple options are left to a topping up. */
function countsWorth(option: PackOption, missing: number, threshold: Threshold | undefined): [number, number] {
  const enough = Math.max(0, Math.ceil(missing / option.size));
  if (isSimple(option)) return [1, enough];
  const further = !threshold || option.price === 0 ? 0 : Math.ceil(threshold.goods / option.price);
  return [option.least, Math.min(option.most, Math.max(option.least, enough) + further)];
}

class NearCoverSearch {
  private readonly need: WeighedNeed;
  private readonly thresholds: readonly Threshold[];
  private readonly limit: number;
  private readonly scale: number;
  private found = 0;

  constructor(need: WeighedNeed, scale: number, thresholds: readonly Threshold[], slack: number) {
    this.need = need;
    this.thresholds = thresholds;
    this.limit = need.net + slack;
    this.scale = scale;
  }

  /** Packs of one more option, the options taken from the last to the first. */
  private extended(begun: readonly Begun[], level: number): Begun[] {
    const { weighed, levels } = this.need;
    const option = weighed.options[level] as PackOption;
    const t = this.thresholds.findIndex(({ seller }) => seller === option.seller);
    const before = levels[level] ?? [];
    const found: Begun[] = [];
    const note = (from: number, base: Begun, count: number): void => {
      const size = Math.min(weighed.cap, base.size + count * option.size);
      const total = base.weighed + count * option.cost;
      const least = leastWith(weighed, before, size, total);
      if (least === undefined || least > this.limit) return;
      this.found += 1;
      if (this.found > mostFound) throw new TooManyNearCovers();
      const goods = base.goods.map((amount, at) =>
        at === t ? Math.min(this.thresholds[t]?.goods ?? 0, amount + count * option.price) : amount,
      );
      found.push({ size, cost: base.cost + count * option.price * this.scale, weighed: total, goods, from, count });
    };
    begun.forEach((base, from) => {
      note(from, base, 0);
      const [least, most] = countsWorth(option, weighed.cap - base.size, this.thresholds[t]);
      for (let count = least; count <= most; count += 1) {
        if (base.weighed + count * option.cost - weighed.mostValue > this.limit) break;
        note(from, base, count);
      }
    });
    return undominated(found);
  }

  run(ingredient: Ingredient): NearCover[] {
    const { weighed, places } = this.need;
    const steps: Begun[][] = [
      [{ size: 0, cost: 0, weighed: 0, goods: this.thresholds.map(() => 0), from: 0, count: 0 }],
    ];
    for (let level = places.length - 1; level >= 0; level -= 1) {
      steps.push(this.extended(steps[steps.length - 1] ?? [], level));
    }
    const ends = steps[steps.length - 1] ?? [];
    return ends.flatMap((end, at): NearCover[] => {
      if (end.size < weighed.needed) return [];
      const packs: [number, number][] = [];
      for (let step = steps.length - 1, from = at; step > 0; step -= 1) {
        const { count = 0, from: earlier = 0 } = steps[step]?.[from] ?? {};
        if (count > 0) packs.push([places[places.length - step] ?? 0, count]);
        from = earlier;
      }
      packs.sort(([a], [b]) => a - b);
      return [{ goods: end.goods, net: end.cost - valueOf(ingredient, end.size), packs }];
    });
  }
}

/**
 * Every cover whose weighed net is at most `slack` above the best, undominated by cost, size and goods. Packs of simple options beyond what the need
 * takes are left out: they are found as a topping up. Throws TooManyNearCovers.
 */
export const nearCovers = (
  need: WeighedNeed,
  ingredient: Ingredient,
  thresholds: readonly Threshold[],
  slack: number,
): NearCover[] => new NearCoverSearch(need, ingredient.scale, thresholds, slack).run(ingredient);
