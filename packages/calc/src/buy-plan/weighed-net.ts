import type { BuyProblem, Ingredient, PackOption } from './buy-problem.ts';
import { valueOf } from './buy-problem.ts';
import { hasSeller } from './cheapest-cover.ts';
import { priceParts, weigh } from './near-covers.ts';
import { isSimple } from './topping-up.ts';

/** Up to this many steps a table of every size is quicker than a frontier. */
const largestTable = 512;

/** What it costs to have at least so much, for each size, with the limited options up to some place; and how many packs of the last one. */
interface LimitedRow {
  readonly place: number;
  readonly cost: Float64Array;
  readonly count: Int32Array;
}

/**
 * Covers one need from allowed sellers again and again, each time with other parts of the prices. Whole numbers below 2^53 throughout.
 * Method: a table over sizes; the options that are limited one after the other, then the others all at once.
 */
export class WeighedNets {
  private readonly options: readonly PackOption[];
  private readonly ingredient: Ingredient;
  private readonly allowed: number;
  private readonly simple: readonly number[];
  private readonly limited: readonly LimitedRow[];
  private readonly nothing: Float64Array;
  /** what it costs to have at least so much, and by which simple option last; -1 where by none */
  private readonly cost: Float64Array;
  private readonly last: Int32Array;
  private readonly values: readonly number[];
  private readonly sizes: Float64Array;
  private readonly costs: Float64Array;

  constructor(ingredient: Ingredient, allowed: number) {
    this.ingredient = ingredient;
    this.allowed = allowed;
    this.options = ingredient.options.filter(({ seller }) => hasSeller(allowed, seller));
    const { cap, needed } = ingredient;
    const length = cap > largestTable ? 0 : cap + 1;
    this.simple = this.options.flatMap((option, place) => (isSimple(option) ? [place] : []));
    this.limited = this.options.flatMap((option, place) =>
      isSimple(option) ? [] : [{ place, cost: new Float64Array(length), count: new Int32Array(length) }],
    );
    this.nothing = new Float64Array(length).fill(Infinity);
    this.nothing[0] = 0;
    this.cost = new Float64Array(length);
    this.last = new Int32Array(length);
    this.sizes = Float64Array.from(this.simple, (place) => this.options[place]?.size ?? 0);
    this.costs = new Float64Array(this.simple.length);
    this.values = Array.from(
      { length: length === 0 ? 0 : length - needed },
      (_, more) => valueOf(ingredient, needed + more) * priceParts,
    );
  }

  /**
   * The least net, in 1024ths of the ingredient's scale. `parts`: for each seller how many 1024ths of its prices count; `bought`: for each seller goods
   * in minor units, to which those of this cover are added.
   */
  of(parts: readonly number[], bought: number[]): number {
    if (this.values.length === 0) {
      const { net, counts } = weigh(this.ingredient, this.allowed, parts) ?? { net: Infinity, counts: [] };
      counts.forEach((count, place) => this.buy(place, count, bought));
      return net;
    }
    let before = this.nothing;
    for (const row of this.limited) {
      const option = this.options[row.place] as PackOption;
      fillLimited(before, row, option, weighedCost(option, parts));
      before = row.cost;
    }
    for (let k = 0; k < this.simple.length; k += 1) {
      this.costs[k] = weighedCost(this.options[this.simple[k] as number] as PackOption, parts);
    }
    this.fillSimple(before);
    const { needed } = this.ingredient;
    let net = Infinity;
    let size = needed;
    for (let more = 0; more < this.values.length; more += 1) {
      const found = (this.cost[needed + more] as number) - (this.values[more] as number);
      if (found >= net) continue;
      net = found;
      size = needed + more;
    }
    this.buyFor(size, bought);
    return net;
  }

  private fillSimple(before: Float64Array): void {
    const { cost, last, sizes, costs } = this;
    for (let wanted = 0; wanted < cost.length; wanted += 1) {
      let best = before[wanted] as number;
      let by = -1;
      if (wanted > 0) {
        for (let k = 0; k < sizes.length; k += 1) {
          const left = wanted - (sizes[k] as number);
          const other = (cost[left > 0 ? left : 0] as number) + (costs[k] as number);
          if (other >= best) continue;
          best = other;
          by = k;
        }
      }
      cost[wanted] = best;
      last[wanted] = by;
    }
  }

  private buy(place: number, count: number, bought: number[]): void {
    const { seller, price } = this.options[place] as PackOption;
    bought[seller] = (bought[seller] ?? 0) + count * price;
  }

  private buyFor(size: number, bought: number[]): void {
    let left = size;
    for (let by = this.last[left] as number; by >= 0; by = this.last[left] as number) {
      this.buy(this.simple[by] as number, 1, bought);
      left = Math.max(0, left - (this.sizes[by] as number));
    }
    for (let k = this.limited.length - 1; k >= 0; k -= 1) {
      const { place, count } = this.limited[k] as LimitedRow;
      const packs = count[left] as number;
      this.buy(place, packs, bought);
      left = Math.max(0, left - packs * (this.options[place] as PackOption).size);
    }
  }
}

const weighedCost = ({ cost, seller }: PackOption, parts: readonly number[]): number =>
  cost * (parts[seller] ?? priceParts);

function fillLimited(before: Float64Array, row: LimitedRow, { size, least, most }: PackOption, cost: number): void {
  for (let wanted = 0; wanted < row.cost.length; wanted += 1) {
    let best = before[wanted] as number;
    let by = 0;
    for (let count = least; count <= most && wanted > 0; count += 1) {
      const left = wanted - count * size;
      const other = (before[left > 0 ? left : 0] as number) + count * cost;
      if (other < best) {
        best = other;
        by = count;
      }
      if (left <= 0) break;
    }
    row.cost[wanted] = best;
    row.count[wanted] = by;
  }
}

/** The tables of all needs, each made once for the sellers that have offers of it. */
export class NetsOfNeeds {
  private readonly made: Map<number, WeighedNets>[];
  private readonly ingredients: readonly Ingredient[];

  constructor({ ingredients }: BuyProblem) {
    this.ingredients = ingredients;
    this.made = ingredients.map(() => new Map<number, WeighedNets>());
  }

  of(index: number, allowed: number): WeighedNets {
    const ingredient = this.ingredients[index] as Ingredient;
    const sellers = ingredient.options.reduce((set, { seller }) => set | (1 << seller), 0) & allowed;
    const nets = this.made[index]?.get(sellers) ?? new WeighedNets(ingredient, sellers);
    this.made[index]?.set(sellers, nets);
    return nets;
  }
}
