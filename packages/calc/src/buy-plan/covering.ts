/** Packs that can be bought of one offer: whole sizes and costs, and from `least` to `most` packs if any. */
export interface PackChoice {
  readonly size: number;
  readonly cost: number;
  readonly least: number;
  readonly most: number;
}

/**
 * A size that can be had at a cost with so many packs. It was made from the point `from` of the frontier without the last offer by `count` packs
 * of that offer, which is how the packs are found again.
 */
export interface CoverPoint {
  readonly size: number;
  readonly cost: number;
  readonly packs: number;
  readonly from: number;
  readonly count: number;
}

/** Points by rising size, and so by rising cost: for each size the cheapest way to have at least as much, and of equally cheap ones the fewest packs. */
export type Frontier = readonly CoverPoint[];

/** More points than this are more than can be told apart in reasonable time. */
const mostPoints = 200_000;

/** Thrown when quantities and packs allow more combinations than can be told apart. */
export class TooManyCovers extends Error {}

const isBefore = (a: CoverPoint, b: CoverPoint): boolean =>
  a.cost !== b.cost ? a.cost < b.cost : a.packs !== b.packs ? a.packs < b.packs : a.size > b.size;

/** Adds a point that is not cheaper than those before; it counts only if it is larger. */
function keep(points: CoverPoint[], point: CoverPoint): void {
  if (point.size <= (points[points.length - 1]?.size ?? -1)) return;
  if (points.length >= mostPoints) throw new TooManyCovers();
  points.push(point);
}

function merged(a: Frontier, b: Frontier): Frontier {
  const points: CoverPoint[] = [];
  let i = 0;
  let j = 0;
  for (;;) {
    const [left, right] = [a[i], b[j]];
    if (left && (!right || !isBefore(right, left))) {
      keep(points, left);
      i += 1;
    } else if (right) {
      keep(points, right);
      j += 1;
    } else return points;
  }
}

const more = (
  { size, cost, packs, from, count }: CoverPoint,
  times: number,
  offer: PackChoice,
  cap: number,
): CoverPoint => ({
  size: Math.min(cap, size + times * offer.size),
  cost: cost + times * offer.cost,
  packs: packs + times,
  from,
  count: count + times,
});

function shifted(points: Frontier, times: number, offer: PackChoice, cap: number): Frontier {
  const result: CoverPoint[] = [];
  for (const point of points) keep(result, more(point, times, offer, cap));
  return result;
}

/** With any number of packs of the offer on top. */
function repeated(base: Frontier, offer: PackChoice, cap: number): Frontier {
  const points: CoverPoint[] = [];
  let i = 0;
  let j = 0;
  for (;;) {
    const left = base[i];
    const root = points[j];
    const right = root && root.size < cap ? more(root, 1, offer, cap) : undefined;
    if (left && (!right || !isBefore(right, left))) {
      keep(points, left);
      i += 1;
    } else if (right) {
      keep(points, right);
      j += 1;
    } else return points;
  }
}

/** With up to `most` packs on top, in bundles of 1, 2, 4 and so on, each taken or not. */
function repeatedUpTo(base: Frontier, most: number, offer: PackChoice, cap: number): Frontier {
  let points = base;
  for (let left = most, bundle = 1; left > 0; left -= bundle, bundle = Math.min(2 * bundle, left)) {
    points = merged(points, shifted(points, bundle, offer, cap));
  }
  return points;
}

/** The frontier with nothing bought. */
export const nothingBought: Frontier = [{ size: 0, cost: 0, packs: 0, from: 0, count: 0 }];

/**
 * The frontier with one more offer.
 * Method: dynamic programming over the undominated pairs of size and cost (Bellman 1957; dominance as in Nemhauser and Ullmann, Management Science
 * 1969). Sizes above `cap` are worth no more than `cap`. Exact: costs, sizes and `cap` are whole numbers below 2^53. Throws TooManyCovers.
 */
export function withOffer(points: Frontier, offer: PackChoice, cap: number): Frontier {
  const base = points.map(({ size, cost, packs }, from): CoverPoint => ({ size, cost, packs, from, count: 0 }));
  const isUnlimited = (offer.most - offer.least) * offer.size >= cap;
  if (isUnlimited && offer.least === 1) return repeated(base, offer, cap);
  const begun = shifted(base, offer.least, offer, cap);
  const further = isUnlimited ? repeated(begun, offer, cap) : repeatedUpTo(begun, offer.most - offer.least, offer, cap);
  return merged(base, further);
}

/** How many packs of each offer lead to a point of the last of the frontiers; `levels[k]` is the frontier with the first k offers. */
export function packsOf(levels: readonly Frontier[], point: CoverPoint): number[] {
  const counts: number[] = [];
  let at: CoverPoint | undefined = point;
  for (let level = levels.length - 1; level > 0 && at; level -= 1) {
    counts.push(at.count);
    at = levels[level - 1]?.[at.from];
  }
  return counts.reverse();
}
