import type { Holding } from './holding.ts';

/** At most this many exchanges are looked at, so that a huge input ends too; ordinary ones stay far below. */
const mostTrials = 4_000_000;

interface Bundle {
  size: number;
  lots: readonly number[];
}

/** What one household gives another and what it takes for it. */
export interface Exchange {
  give: Bundle;
  take: Bundle;
}

/** The smallest bundles of one household for another: each total size once, in a list and by size. */
interface Bundles {
  list: readonly Bundle[];
  ofSize: ReadonlyMap<number, Bundle>;
}

/** What households can give one another, kept for as long as the giver's containers stay the same: most others eat the same dishes. */
export class BundlesOf {
  private readonly holding: Holding;
  private readonly diet: number[];
  private readonly known: { changes: number; bundles: Bundles }[][];

  constructor(holding: Holding) {
    this.holding = holding;
    const diets = holding.problem.eats.map((row) => row.map(Number).join(''));
    this.diet = diets.map((diet) => diets.indexOf(diet));
    this.known = diets.map(() => []);
  }

  /** For each total size the smallest bundle of at most two containers that one household can give another, nothing included. */
  from(giver: number, taker: number): Bundles {
    const changes = this.holding.changes[giver] ?? 0;
    const diet = this.diet[taker] ?? 0;
    const found = this.known[giver]?.[diet];
    if (found?.changes === changes) return found.bundles;
    const ofSize = bundlesFor(this.holding, giver, taker);
    const bundles = { list: [...ofSize.values()], ofSize };
    (this.known[giver] ?? [])[diet] = { changes, bundles };
    return bundles;
  }
}

function bundlesFor(holding: Holding, from: number, to: number): Map<number, Bundle> {
  const bySize = new Map<number, number[]>();
  holding.problem.lots.forEach((_, l) => {
    const count = holding.movable(from, l);
    if (count === 0 || !holding.eats(to, l)) return;
    const size = holding.size[l] ?? 0;
    const lots = bySize.get(size) ?? [];
    if (lots.length < 2) bySize.set(size, [...lots, l, ...(count > 1 && lots.length === 0 ? [l] : [])].slice(0, 2));
  });
  const bundles = new Map<number, Bundle>([[0, { size: 0, lots: [] }]]);
  const add = (size: number, lots: readonly number[]): void => {
    const known = bundles.get(size);
    if (!known || known.lots.length > lots.length) bundles.set(size, { size, lots });
  };
  const sizes = [...bySize].sort(([a], [b]) => a - b);
  for (const [size, [first]] of sizes) if (first !== undefined) add(size, [first]);
  sizes.forEach(([a, [first, second]], i) => {
    if (first !== undefined && second !== undefined) add(2 * a, [first, second]);
    for (const [b, [other]] of sizes.slice(i + 1))
      if (first !== undefined && other !== undefined) add(a + b, [first, other]);
  });
  return bundles;
}

/** The exchange that brings two households' deviations nearest to each other, if any does; `from` is the one with more. */
function bestExchange(
  holding: Holding,
  bundles: BundlesOf,
  from: number,
  to: number,
): (Exchange & { trials: number }) | undefined {
  const gap = (holding.deviation[from] ?? 0n) - (holding.deviation[to] ?? 0n);
  // Half a step finer than whole sizes; which exchange is best is judged on this, whether it is better at all exactly.
  const wanted = Number((gap * 1024n) / holding.sizeFactor);
  if (gap <= 0n || !Number.isSafeInteger(wanted)) return undefined;
  const gives = bundles.from(from, to).list;
  const takes = bundles.from(to, from).list;
  let best: Exchange | undefined;
  let distance = wanted;
  for (const give of gives) {
    for (const take of takes) {
      const left = Math.abs((give.size - take.size) * 2048 - wanted);
      if (
        left >= distance ||
        !holding.hasRoom(from, take.lots, give.lots) ||
        !holding.hasRoom(to, give.lots, take.lots)
      )
        continue;
      distance = left;
      best = { give, take };
    }
  }
  if (!best) return undefined;
  const moved = BigInt(best.give.size - best.take.size) * holding.sizeFactor;
  return moved > 0n && moved < gap ? { ...best, trials: gives.length * takes.length } : undefined;
}

/**
 * Exchanges of at most two containers against at most two between two households, as long as one lessens the sum of squared deviations.
 * An exchange keeps the sum of both deviations; it lessens the squares exactly when it lessens their distance, so the greater of both in size never
 * grows: whatever bound held for everyone before holds after. It ends because the sum falls by multiples of a fixed fraction each time.
 */
export function levelDeviations(holding: Holding): void {
  const count = holding.problem.households.length;
  const bundles = new BundlesOf(holding);
  let trials = 0;
  for (let moved = true; moved && trials < mostTrials;) {
    moved = false;
    for (let a = 0; a < count; a++) {
      for (let b = 0; b < count && trials < mostTrials; b++) {
        trials += holding.problem.lots.length;
        const best = bestExchange(holding, bundles, a, b);
        if (!best) continue;
        trials += best.trials;
        holding.move(best.give.lots, a, b);
        holding.move(best.take.lots, b, a);
        moved = true;
      }
    }
  }
}
