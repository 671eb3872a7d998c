import type { Holding } from './holding.ts';

/** With more units than this in a round every number is taken for possible, which only makes bounds weaker. */
const mostUnits = 20_000;

/**
 * The numbers of units that whole containers can make for each household, out of what it holds and may eat. Where containers are large this is far from
 * every number: from threes and sixes nobody can have five.
 */
export class AttainableUnits {
  private readonly holding: Holding;
  /** for each household the numbers above what it holds, as bits; undefined for all */
  private readonly above: (bigint | undefined)[];
  private readonly held: number[];

  constructor(holding: Holding) {
    this.holding = holding;
    const { free, held, households } = holding.problem;
    this.held = held.map((row) => row.reduce((units, count, l) => units + count * (holding.size[l] ?? 0), 0));
    const all = free.reduce((units, count, l) => units + count * (holding.size[l] ?? 0), 0);
    const known = new Map<string, bigint>();
    this.above = households.map((_, h) => {
      if (all > mostUnits) return undefined;
      const lots = free.flatMap((count, l) => (count > 0 && holding.eats(h, l) && holding.size[l] ? [l] : []));
      const key = lots.join(' ');
      const bits = known.get(key) ?? this.sums(lots);
      known.set(key, bits);
      return bits;
    });
  }

  /** The next attainable number of units above, undefined when there is none. */
  next(h: number, units: number): number | undefined {
    const bits = this.above[h];
    if (bits === undefined) return units + 1;
    let rest = bits >> BigInt(Math.max(0, units + 1 - (this.held[h] ?? 0)));
    if (rest === 0n) return undefined;
    let next = Math.max(units + 1, this.held[h] ?? 0);
    for (; (rest & 1n) === 0n; rest >>= 1n) next++;
    return next;
  }

  /** The next attainable number of units below, undefined when there is none. */
  before(h: number, units: number): number | undefined {
    const base = this.held[h] ?? 0;
    const bits = this.above[h];
    for (let n = units - 1; n >= base; n--)
      if (bits === undefined || ((bits >> BigInt(n - base)) & 1n) === 1n) return n;
    return undefined;
  }

  /** All sums of these lots' containers, bit by bit. */
  private sums(lots: readonly number[]): bigint {
    let bits = 1n;
    for (const l of lots) {
      // Bundles of 1, 2, 4, ... containers make every number up to the count.
      let left = this.holding.problem.free[l] ?? 0;
      for (let bundle = 1; left > 0; bundle *= 2) {
        const taken = Math.min(bundle, left);
        bits |= bits << BigInt(taken * (this.holding.size[l] ?? 0));
        left -= taken;
      }
    }
    return bits;
  }
}
