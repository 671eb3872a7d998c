/** Containers from household to household, by number; a move between the same two counts together. */
export type Between = Map<number, Map<number, number>>;

export function addBetween(between: Between, from: number, to: number, containers: number): void {
  const row = between.get(from) ?? new Map<number, number>();
  row.set(to, (row.get(to) ?? 0) + containers);
  between.set(from, row);
}

function takeOne(between: Between, ring: readonly number[]): void {
  ring.forEach((from, i) => {
    const to = ring[(i + 1) % ring.length] ?? from;
    const row = between.get(from);
    const left = (row?.get(to) ?? 0) - 1;
    if (left > 0) row?.set(to, left);
    else row?.delete(to);
  });
}

/** The shortest ring through a household of at most so many households, or undefined. */
function shortestRing(between: Between, start: number, longest: number): number[] | undefined {
  const before = new Map<number, number>();
  let reached = [start];
  for (let length = 1; length <= longest && reached.length > 0; length++) {
    const next: number[] = [];
    for (const from of reached) {
      for (const to of between.get(from)?.keys() ?? []) {
        if (to === start) {
          const ring = [from];
          for (let at = from; at !== start; ring.unshift(at)) at = before.get(at) ?? start;
          return ring;
        }
        if (before.has(to)) continue;
        before.set(to, from);
        next.push(to);
      }
    }
    reached = next;
  }
  return undefined;
}

/**
 * Takes moves apart into rings, in each of which every household gives one container to the next: short ones first, so that what can be handed over between two is.
 * Which moves are in no ring is left in `between`: they are given on credit. Equally short rings in the order of the households.
 */
export function takeRings(between: Between): number[][] {
  const rings: number[][] = [];
  const starts = [...between.keys()].sort((a, b) => a - b);
  for (let longest = 2; longest <= 2 * starts.length; longest = longest < 4 ? longest + 1 : 2 * longest) {
    for (const start of starts) {
      for (let ring = shortestRing(between, start, longest); ring; ring = shortestRing(between, start, longest)) {
        takeOne(between, ring);
        rings.push(ring);
      }
    }
  }
  return rings;
}
