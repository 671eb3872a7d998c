import type { BuyProblem, PackOption } from './buy-problem.ts';
import type { Plan } from './plan-cost.ts';
import { coverOf, planOf } from './plan-cost.ts';

/** Packs of an option beyond what the need takes, with the place of its ingredient. */
export interface ExtraPacks {
  readonly ingredient: number;
  readonly place: number;
  readonly count: number;
}

/** Packs bought only for what they cost, to reach a threshold. */
export interface ToppingUp {
  readonly cost: number;
  readonly packs: readonly ExtraPacks[];
}

interface Extra {
  readonly ingredient: number;
  readonly place: number;
  readonly least: number;
  readonly most: number;
  readonly price: number;
}

/** Sums up to this are found exactly; what is missing beyond it is filled up with the dearest packs first. */
export const exactToppingUp = 16_384;

/** An option of which any number of packs can be bought whatever else is bought. */
export const isSimple = ({ least, most }: PackOption): boolean => least === 1 && most === Infinity;

/**
 * The least sum of prices, each used any number of times, that is not under an amount of at most `greatest`.
 * Method: which sums there are up to twice the amount (a sum that is least has no price that could be left out).
 */
class PriceSums {
  /** sum to the place in `extras` of a price in it; -1 where there is no such sum */
  private readonly last: number[];
  private readonly extras: readonly Extra[];
  private readonly single: number;

  constructor(extras: readonly Extra[], greatest: number) {
    this.extras = extras;
    this.single = extras.findIndex(({ price }) => price > greatest);
    const small = this.single === -1 ? extras : extras.slice(0, this.single);
    this.last = new Array<number>(2 * greatest + 1).fill(-1);
    small.forEach(({ price }, place) => {
      // A price that the others add up to already gives no new sum.
      if (this.last[price] !== -1) return;
      for (let sum = price; sum < this.last.length; sum += 1) {
        if (this.last[sum] === -1 && (sum === price || this.last[sum - price] !== -1)) this.last[sum] = place;
      }
    });
  }

  reach(missing: number): ToppingUp | undefined {
    let sum = missing;
    while (sum < this.last.length && this.last[sum] === -1) sum += 1;
    const single = this.extras[this.single];
    if (sum >= this.last.length) {
      return single && { cost: single.price, packs: [{ ...single, count: 1 }] };
    }
    if (single && single.price < sum) return { cost: single.price, packs: [{ ...single, count: 1 }] };
    const packs: ExtraPacks[] = [];
    for (let rest = sum; rest > 0;) {
      const extra = this.extras[this.last[rest] ?? -1];
      if (!extra) throw new RangeError(`${sum} is no sum of prices.`);
      packs.push({ ingredient: extra.ingredient, place: extra.place, count: 1 });
      rest -= extra.price;
    }
    return { cost: sum, packs };
  }
}

/** The least that must be spent on top of what is needed to reach a seller's thresholds. */
export class ToppingsUp {
  private readonly sums = new Map<string, PriceSums>();
  private readonly problem: BuyProblem;

  constructor(problem: BuyProblem) {
    this.problem = problem;
  }

  private extrasOf(
    seller: number,
    extraOf: (option: PackOption, ingredient: number, place: number) => Extra[],
  ): Extra[] {
    const extras = this.problem.ingredients.flatMap(({ options }, ingredient) =>
      options.flatMap((option, place) => (option.seller === seller ? extraOf(option, ingredient, place) : [])),
    );
    return extras.filter(({ price }) => price > 0).sort((a, b) => a.price - b.price);
  }

  private simpleOf(seller: number): Extra[] {
    return this.extrasOf(seller, ({ price, ...option }, ingredient, place) =>
      isSimple({ price, ...option }) ? [{ ingredient, place, least: 1, most: Infinity, price }] : [],
    );
  }

  /** The least with simple options alone, whatever else is bought. `missing`: 1 to exactToppingUp. */
  simple(seller: number, missing: number): ToppingUp | undefined {
    let greatest = 128;
    while (greatest < missing) greatest *= 2;
    const key = `${seller} ${greatest}`;
    const sums = this.sums.get(key) ?? new PriceSums(this.simpleOf(seller), greatest);
    this.sums.set(key, sums);
    return sums.reach(missing);
  }

  /** A plan whose used sellers all reach their minimum order, or undefined when one cannot. Gives the plan itself when nothing is missing. */
  allowed(plan: Plan): Plan | undefined {
    if (plan.isAllowed) return plan;
    const packs = plan.covers.map((cover) => new Map(cover.packs));
    for (const [seller, { minimumOrder }] of this.problem.sellers.entries()) {
      const missing = minimumOrder - (plan.goods[seller] ?? 0);
      if (missing <= 0 || ((plan.used >> seller) & 1) === 0) continue;
      const simple = missing <= exactToppingUp ? this.simple(seller, missing) : undefined;
      const extra = simple?.packs ?? this.anyExtra(seller, missing, packs);
      if (!extra) return undefined;
      for (const { ingredient, place, count } of extra) {
        const counts = packs[ingredient];
        counts?.set(place, (counts.get(place) ?? 0) + count);
      }
    }
    const covers = this.problem.ingredients.map((ingredient, index) =>
      coverOf(
        ingredient,
        [...(packs[index] ?? [])].sort(([a], [b]) => a - b),
      ),
    );
    return planOf(this.problem, covers);
  }

  /** The dearest packs first, until nothing is missing or no more can be had. */
  private anyExtra(
    seller: number,
    amount: number,
    packs: readonly ReadonlyMap<number, number>[],
  ): ExtraPacks[] | undefined {
    const extras = this.extrasOf(seller, (option, ingredient, place) => {
      const bought = packs[ingredient]?.get(place) ?? 0;
      const [least, most] = [bought > 0 ? 1 : option.least, option.most - bought];
      return most >= least ? [{ ingredient, place, least, most, price: option.price }] : [];
    });
    let missing = amount;
    const result: ExtraPacks[] = [];
    for (const { ingredient, place, least, most, price } of extras.reverse()) {
      if (missing <= 0) break;
      const count = Math.min(most, Math.max(least, Math.ceil(missing / price)));
      result.push({ ingredient, place, count });
      missing -= count * price;
    }
    return missing <= 0 ? result : undefined;
  }
}
