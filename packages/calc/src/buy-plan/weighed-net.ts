import type { Ingredient, PackOption } from './buy-problem.ts';
import { valueOf } from './buy-problem.ts';
import { hasSeller } from './cheapest-cover.ts';
import { priceParts, weigh } from './near-covers.ts';

/** The least net of a need when prices count only in part, in 1024ths of the ingredient's scale, and how many packs of each option that takes. */
export interface WeighedNet {
  readonly net: number;
  readonly counts: readonly number[];
}

/** Up to this many steps a table of every size is quicker than a frontier. */
const largestTable = 512;

/** Covers one need from allowed sellers again and again, each time with other parts of the prices. */
export class WeighedNets {
  private readonly ingredient: Ingredient;
  private readonly allowed: number;
  readonly options: readonly PackOption[];
  /** for each option a row: what it costs to have at least so much with the options up to it */
  private readonly rows: number[][] | undefined;
  private readonly values: readonly number[];

  constructor(ingredient: Ingredient, allowed: number) {
    this.ingredient = ingredient;
    this.allowed = allowed;
    this.options = ingredient.options.filter(({ seller }) => hasSeller(allowed, seller));
    const { cap, needed } = ingredient;
    if (cap > largestTable) {
      this.values = [];
      return;
    }
    const nothing = Array.from({ length: cap + 1 }, (_, size) => (size === 0 ? 0 : Infinity));
    this.rows = [nothing, ...this.options.map(() => [...nothing])];
    this.values = Array.from(
      { length: cap + 1 - needed },
      (_, more) => valueOf(ingredient, needed + more) * priceParts,
    );
  }

  /** `parts`: for each seller how many 1024ths of its prices count. */
  of(parts: readonly number[]): WeighedNet {
    const { rows } = this;
    if (!rows) {
      const { net, counts } = weigh(this.ingredient, this.allowed, parts) ?? { net: Infinity, counts: [] };
      return { net, counts };
    }
    for (let k = 0; k < this.options.length; k += 1) {
      const option = this.options[k] as PackOption;
      fillRow(rows[k] as number[], rows[k + 1] as number[], option, option.cost * (parts[option.seller] ?? priceParts));
    }
    const last = rows[rows.length - 1] ?? [];
    const { needed, cap } = this.ingredient;
    let net = Infinity;
    let size = needed;
    for (let at = needed; at <= cap; at += 1) {
      const found = (last[at] ?? Infinity) - (this.values[at - needed] ?? 0);
      if (found >= net) continue;
      net = found;
      size = at;
    }
    return { net, counts: this.countsFor(rows, size, parts) };
  }

  private countsFor(rows: readonly number[][], size: number, parts: readonly number[]): number[] {
    const counts = this.options.map(() => 0);
    for (let k = this.options.length - 1; k >= 0; k -= 1) {
      const option = this.options[k] as PackOption;
      const cost = option.cost * (parts[option.seller] ?? priceParts);
      const before = rows[k] ?? [];
      const here = rows[k + 1]?.[size] ?? Infinity;
      if (here === before[size]) continue;
      for (let count = option.least; count <= option.most; count += 1) {
        const left = Math.max(0, size - count * option.size);
        if ((before[left] ?? Infinity) + count * cost !== here) continue;
        counts[k] = count;
        size = left;
        break;
      }
    }
    return counts;
  }
}

function fillRow(before: readonly number[], row: number[], { size, least, most }: PackOption, cost: number): void {
  if (least === 1 && most === Infinity) {
    for (let wanted = 1; wanted < row.length; wanted += 1) {
      const without = before[wanted] as number;
      const withOne = (row[wanted > size ? wanted - size : 0] as number) + cost;
      row[wanted] = withOne < without ? withOne : without;
    }
    return;
  }
  for (let wanted = 1; wanted < row.length; wanted += 1) {
    let best = before[wanted] ?? Infinity;
    for (let count = least; count <= most; count += 1) {
      const left = wanted - count * size;
      const other = (before[left > 0 ? left : 0] ?? Infinity) + count * cost;
      if (other < best) best = other;
      if (left <= 0) break;
    }
    row[wanted] = best;
  }
}
