import type { SwapProblem, SwapWorth } from './swap-problem.ts';
import { compareWorth } from './swap-problem.ts';

/** One container that goes from an offer to a want. */
export interface Hop {
  giving: number;
  getting: number;
  /** the place of the hub in the want's list */
  place: number;
}

/** Hops in a ring: whoever gets in one gives in the next, and whoever gets in the last gives in the first. */
export type Ring = readonly Hop[];

/** Households and what is free of theirs, for finding rings of two or three. */
class RingSearch {
  private readonly problem: SwapProblem;
  private readonly offersLeft: Int32Array;
  private readonly wantsLeft: Int32Array;
  private readonly balance: Float64Array;
  private readonly offersOf: number[][];
  /** wants by hub, the best scores first, and by household */
  private readonly wantsAt: { getting: number; place: number }[][];
  private readonly wantsOf: Map<number, { getting: number; place: number }[]>[];

  constructor(problem: SwapProblem) {
    const { households, hubs, givings, gettings } = problem;
    this.problem = problem;
    this.offersLeft = Int32Array.from(givings, ({ containers }) => containers);
    this.wantsLeft = Int32Array.from(gettings, ({ containers }) => containers);
    this.balance = new Float64Array(households.length);
    this.offersOf = households.map(() => []);
    const soonest = [...givings.keys()].sort((a, b) => (givings[a]?.days ?? 0) - (givings[b]?.days ?? 0));
    for (const g of soonest) this.offersOf[givings[g]?.household ?? 0]?.push(g);
    this.wantsAt = hubs.map(() => []);
    this.wantsOf = households.map(() => new Map<number, { getting: number; place: number }[]>());
    const dearest = [...gettings.keys()].sort((a, b) => (gettings[b]?.score ?? 0) - (gettings[a]?.score ?? 0));
    for (const getting of dearest) {
      const { household = 0, hubs: from = [] } = gettings[getting] ?? {};
      from.forEach((hub, place) => {
        this.wantsAt[hub]?.push({ getting, place });
        const mine = this.wantsOf[household] ?? new Map<number, { getting: number; place: number }[]>();
        mine.set(hub, [...(mine.get(hub) ?? []), { getting, place }]);
      });
    }
  }

  take(ring: Ring, times: 1 | -1): void {
    for (const { giving, getting } of ring) {
      const { household: from = 0, parts = 0 } = this.problem.givings[giving] ?? {};
      const to = this.problem.gettings[getting]?.household ?? 0;
      this.offersLeft[giving] = (this.offersLeft[giving] ?? 0) - times;
      this.wantsLeft[getting] = (this.wantsLeft[getting] ?? 0) - times;
      this.balance[from] = (this.balance[from] ?? 0) + times * parts;
      this.balance[to] = (this.balance[to] ?? 0) - times * parts;
    }
  }

  /** A ring that begins with a gift of this household, the first that is found. */
  find(household: number, limit: 2 | 3): Ring | undefined {
    return (
      this.close(household, [], household, 2) ?? (limit === 3 ? this.close(household, [], household, 3) : undefined)
    );
  }

  /** Goes on from what `giver` gives; the ring has `length` hops in all. */
  private close(first: number, hops: readonly Hop[], giver: number, length: number): Ring | undefined {
    const isLast = hops.length === length - 1;
    for (const giving of this.offersOf[giver] ?? []) {
      if (!(this.offersLeft[giving] ?? 0)) continue;
      const hub = this.problem.givings[giving]?.hub ?? 0;
      const takers = isLast ? (this.wantsOf[first]?.get(hub) ?? []) : (this.wantsAt[hub] ?? []);
      for (const { getting, place } of takers) {
        const taker = this.problem.gettings[getting]?.household ?? 0;
        if (!(this.wantsLeft[getting] ?? 0) || (!isLast && taker === first)) continue;
        const ring = [...hops, { giving, getting, place }];
        if (!isLast) {
          const found = this.close(first, ring, taker, length);
          if (found) return found;
        } else if (this.fits(ring)) return ring;
      }
    }
    return undefined;
  }

  private fits(ring: Ring): boolean {
    this.take(ring, 1);
    const { credit, givings } = this.problem;
    const within = ring.every(({ giving }) => {
      const balance = this.balance[givings[giving]?.household ?? 0] ?? 0;
      return balance <= credit && -balance <= credit;
    });
    this.take(ring, -1);
    return within;
  }
}

export function worthOfRings({ givings, gettings }: SwapProblem, rings: readonly Ring[]): SwapWorth {
  const worth = { parts: 0, partDays: 0, score: 0 };
  for (const { giving, getting } of rings.flat()) {
    const { parts = 0, days = 0 } = givings[giving] ?? {};
    worth.parts += parts;
    worth.partDays += parts * days;
    worth.score += gettings[getting]?.score ?? 0;
  }
  return worth;
}

/** Rings taken out again and others tried in their place; more would take longer than anybody waits. */
const mostTrials = 4000;

/**
 * Rings of at most two or three households, good but not proved: rings are taken as they are found, then each is taken out and kept out when those that fit in its
 * place are worth more.
 */
export function findRings(problem: SwapProblem, limit: 2 | 3): Ring[] {
  const search = new RingSearch(problem);
  const rings: Ring[] = [];
  const fillFrom = (households: Iterable<number>): Ring[] => {
    const found: Ring[] = [];
    for (const h of households) {
      for (let ring = search.find(h, limit); ring; ring = search.find(h, limit)) {
        search.take(ring, 1);
        found.push(ring);
      }
    }
    return found;
  };
  rings.push(...fillFrom(problem.households.keys()));
  for (let at = 0, sinceBetter = 0, trial = 0; sinceBetter < rings.length && trial < mostTrials; trial++) {
    const ring = rings[at % rings.length];
    if (!ring) break;
    search.take(ring, -1);
    // Each household of the ring first looks for another ring, the others after it.
    const members = ring.map(({ giving }) => problem.givings[giving]?.household ?? 0);
    const others = fillFrom([...members.slice(1), ...members.slice(0, 1)]);
    if (compareWorth(worthOfRings(problem, others), worthOfRings(problem, [ring])) > 0) {
      rings.splice(at % rings.length, 1, ...others);
      sinceBetter = 0;
    } else {
      for (const other of others) search.take(other, -1);
      search.take(ring, 1);
      sinceBetter++;
    }
    at++;
  }
  return rings;
}
