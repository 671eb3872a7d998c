import type { Rational } from '../rational.ts';
import { add, div, isZero, mul, rational, sum, zero } from '../rational.ts';
import { commonDenominator, scaled } from '../share-out/scale.ts';
import type { Limits } from './limits.ts';
import type { RotaProblem } from './rota-problem.ts';
import { RotaSearch } from './rota-search.ts';
import { mostTurns } from './window-room.ts';

/** What each household's load ought to be, as whole numbers of `factor`-ths of a turn. */
export interface Targets {
  exact: readonly Rational[];
  factor: bigint;
  parts: readonly bigint[];
}

/** Target = all turns x weight / sum of weights + what earlier rotas left owed. With no weights at all only what is owed. */
export function targetsOf({ households }: RotaProblem, turns: number): Targets {
  const all = sum(households.map(({ weight }) => weight));
  const exact = households.map(({ weight, owedTurns }) =>
    add(isZero(all) ? zero : div(mul(rational(BigInt(turns)), weight), all), owedTurns),
  );
  const factor = commonDenominator(exact);
  return { exact, factor, parts: exact.map((value) => scaled(value, factor)) };
}

/** Sum of (load - target)^2, in factor-ths squared. */
export function squaresOf({ parts, factor }: Targets, loads: ArrayLike<number>): bigint {
  return parts.reduce((total, part, h) => {
    const deviation = BigInt(loads[h] ?? 0) * factor - part;
    return total + deviation * deviation;
  }, 0n);
}

/** Places of weeks given to households, one at a time, others moving over where that makes room. */
class Placing {
  private readonly search: RotaSearch;
  private readonly span: number;
  private readonly placesLeft: Int32Array;
  private readonly placed: Uint8Array;
  private seen = new Uint8Array(0);

  constructor(search: RotaSearch, places: Int32Array) {
    this.search = search;
    this.span = search.problem.weeks.length;
    this.placesLeft = places.slice();
    this.placed = new Uint8Array(search.state.length);
  }

  keep(pair: number): void {
    this.placed[pair] = 1;
    const week = pair % this.span;
    this.placesLeft[week] = (this.placesLeft[week] ?? 0) - 1;
  }

  place(household: number): boolean {
    this.seen = new Uint8Array(this.span);
    return this.find(household);
  }

  private find(household: number): boolean {
    const { state, problem } = this.search;
    for (let w = 0; w < this.span; w++) {
      const pair = household * this.span + w;
      if (this.seen[w] || this.placed[pair] || state[pair] === 0) continue;
      this.seen[w] = 1;
      if ((this.placesLeft[w] ?? 0) > 0) {
        this.keep(pair);
        return true;
      }
      for (const other of problem.households.keys()) {
        const theirs = other * this.span + w;
        if (!this.placed[theirs] || state[theirs] === 1 || !this.find(other)) continue;
        this.placed[theirs] = 0;
        this.placed[pair] = 1;
        return true;
      }
    }
    return false;
  }
}

/**
 * The loads nearest to their targets of all that availability, kept turns and the greatest number of turns within each gap allow: no rota under these
 * limits has a smaller sum of squares. Method: the turns that can be placed are a polymatroid, on which taking the best next turn each time is optimal for every
 * separable convex aim (Federgruen and Groenevelt, Operations Research 34, 1986). Undefined when the weeks cannot be filled.
 */
export function nearestLoads(
  problem: RotaProblem,
  limits: Limits,
  targets: Targets,
  search?: RotaSearch,
): number[] | undefined {
  const last = problem.weeks.length - 1;
  const within = search ?? new RotaSearch(problem, limits, 0, last);
  if (!search && !within.begin()) return undefined;
  const placing = new Placing(within, limits.least);
  within.state.forEach((value, pair) => {
    if (value === 1) placing.keep(pair);
  });
  const loads = [...within.turns];
  const room = problem.households.map((_, h) => mostTurns(within, h, 0, last));
  let missing = limits.least.reduce((a, b) => a + b, 0) - loads.reduce((a, b) => a + b, 0);
  const open = new Set(problem.households.keys());
  while (missing > 0) {
    let best: number | undefined;
    let bestDeviation = 0n;
    for (const h of open) {
      const deviation = BigInt(loads[h] ?? 0) * targets.factor - (targets.parts[h] ?? 0n);
      if (best === undefined || deviation < bestDeviation) [best, bestDeviation] = [h, deviation];
    }
    if (best === undefined) return undefined;
    if ((loads[best] ?? 0) < (room[best] ?? 0) && placing.place(best)) {
      loads[best] = (loads[best] ?? 0) + 1;
      missing--;
    } else open.delete(best);
  }
  return loads;
}
