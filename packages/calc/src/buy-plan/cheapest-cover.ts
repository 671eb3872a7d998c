import type { BuyProblem, Ingredient } from './buy-problem.ts';
import { valueOf } from './buy-problem.ts';
import type { CoverPoint, Frontier } from './covering.ts';
import { nothingBought, packsOf, withOffer } from './covering.ts';

/** Whole packs of some options of an ingredient: place of the option to packs. */
export type Packs = readonly (readonly [option: number, count: number])[];

/** How one need is covered at the least cost: its cost less the worth of what is stored, in the ingredient's scale, and from whom. */
export interface Cover {
  readonly net: number;
  readonly sellers: number;
  readonly packs: Packs;
}

/** A set of sellers as bits, by their place. */
export const hasSeller = (set: number, seller: number): boolean => ((set >> seller) & 1) === 1;

/** The last frontier's best point: least cost less worth, then fewest packs, then the smaller surplus. */
export function bestPoint(ingredient: Ingredient, frontier: Frontier): { point: CoverPoint; net: number } | undefined {
  let best: { point: CoverPoint; net: number } | undefined;
  for (const point of frontier) {
    if (point.size < ingredient.needed) continue;
    const net = point.cost - valueOf(ingredient, point.size);
    if (!best || net < best.net || (net === best.net && point.packs < best.point.packs)) best = { point, net };
  }
  return best;
}

interface Known {
  /** the sellers that were looked at */
  readonly among: number;
  readonly cover: Cover | undefined;
}

/**
 * The cheapest cover of each need from any set of sellers, reckoned once. A cover that is best among many sellers is best among fewer that still
 * include the ones it buys from, so most sets need no reckoning of their own.
 */
export class CheapestCovers {
  private readonly known: Known[][];
  /** How much has been reckoned so far, in points looked at; what a limit on the work goes by. */
  work = 0;
  private readonly problem: BuyProblem;

  constructor(problem: BuyProblem) {
    this.problem = problem;
    this.known = problem.ingredients.map(() => []);
  }

  /** Undefined when these sellers do not have enough. Throws TooManyCovers. */
  of(index: number, sellers: number): Cover | undefined {
    const known = this.known[index] ?? [];
    for (const { among, cover } of known) {
      if ((among & sellers) === sellers && ((cover?.sellers ?? 0) & ~sellers) === 0) return cover;
    }
    const cover = this.reckon(this.problem.ingredients[index] as Ingredient, sellers);
    known.push({ among: sellers, cover });
    return cover;
  }

  private reckon(ingredient: Ingredient, sellers: number): Cover | undefined {
    const levels: Frontier[] = [nothingBought];
    const places: number[] = [];
    let frontier: Frontier = nothingBought;
    ingredient.options.forEach((option, place) => {
      if (!hasSeller(sellers, option.seller)) return;
      frontier = withOffer(frontier, option, ingredient.cap);
      levels.push(frontier);
      places.push(place);
      this.work += frontier.length;
    });
    const best = bestPoint(ingredient, frontier);
    if (!best) return undefined;
    const packs = packsOf(levels, best.point).flatMap((count, level): [number, number][] =>
      count > 0 ? [[places[level] ?? 0, count]] : [],
    );
    const used = packs.reduce((set, [place]) => set | (1 << (ingredient.options[place]?.seller ?? 0)), 0);
    return { net: best.net, sellers: used, packs };
  }
}
