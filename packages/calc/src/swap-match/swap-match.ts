import { byCodeUnits, sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { format, rational } from '../rational.ts';
import { matchEvenSizes } from './even-sizes.ts';
import type { Ring } from './ring-search.ts';
import { findRings, worthOfRings } from './ring-search.ts';
import type { Between } from './rings.ts';
import { addBetween, takeRings } from './rings.ts';
import type { SwapMatchInput } from './swap-input.ts';
import { readSwapMatch } from './swap-input.ts';
import type { SwapFlow, SwapProblem, SwapWorth } from './swap-problem.ts';
import { compareWorth, swapProblem, worthOf } from './swap-problem.ts';
import { matchUnevenSizes } from './uneven-sizes.ts';

/** Containers that go from an offer to a want. */
export interface SwapMove {
  offer: string;
  want: string;
  containers: number;
}

export interface SwapMatch {
  proof: 'optimal' | 'bounded';
  moves: SwapMove[];
  /** households in the order of giving, one container from each to the next; with a ring limit every move is in one */
  rings: string[][];
  /** portions given less portions got: what is owed to the household, or by it */
  balance: Map<string, Rational>;
  /** portions that change hands, and with `bounded` what no matching can move more than */
  moved: Rational;
  atMost?: Rational;
}

/** What was found: containers by offer and want, and with a ring limit in which rings; with what is known about how good it is. */
export interface Found {
  flow?: SwapFlow;
  rings?: Ring[];
  worth: SwapWorth;
  isBest: boolean;
  /** parts that no matching moves more than */
  mostParts: number;
}

const hasOneSize = ({ hubs }: SwapProblem): boolean => new Set(hubs.map(({ parts }) => parts)).size <= 1;

/** The best, or a good, matching without a limit for rings. */
function foundFlow(problem: SwapProblem): Found {
  if (hasOneSize(problem)) {
    const flow = matchEvenSizes(problem);
    const worth = worthOf(problem, flow);
    return { flow, worth, isBest: true, mostParts: worth.parts };
  }
  const { flow, mostParts } = matchUnevenSizes(problem);
  return { flow, worth: worthOf(problem, flow), isBest: mostParts === 0, mostParts };
}

/** What swapMatch finds by itself. */
export function findMatch(problem: SwapProblem): Found {
  const free = foundFlow(problem);
  if (!problem.ringLimit) return free;
  const rings = findRings(problem, problem.ringLimit);
  const worth = worthOfRings(problem, rings);
  // Rings as good as the best without a limit are the best.
  return { rings, worth, isBest: free.isBest && compareWorth(worth, free.worth) === 0, mostParts: free.mostParts };
}

interface Move {
  giving: number;
  getting: number;
  containers: number;
}

/** Who gets whose container of a hub: the soonest best-before dates to the highest scores. */
function movesOfFlow({ hubs, givings, gettings }: SwapProblem, { given, got }: SwapFlow): Move[] {
  const offered: { g: number; left: number }[][] = hubs.map(() => []);
  for (const g of [...givings.keys()].sort((a, b) => (givings[a]?.days ?? 0) - (givings[b]?.days ?? 0))) {
    const left = given[g] ?? 0;
    if (left > 0) offered[givings[g]?.hub ?? 0]?.push({ g, left });
  }
  const moves: Move[] = [];
  for (const getting of [...gettings.keys()].sort((a, b) => (gettings[b]?.score ?? 0) - (gettings[a]?.score ?? 0))) {
    gettings[getting]?.hubs.forEach((hub, place) => {
      for (let due = got[getting]?.[place] ?? 0; due > 0;) {
        const next = offered[hub]?.[0];
        if (!next) throw new RangeError('More is got than given.');
        const containers = Math.min(due, next.left);
        moves.push({ giving: next.g, getting, containers });
        next.left -= containers;
        due -= containers;
        if (next.left === 0) offered[hub]?.shift();
      }
    });
  }
  return moves;
}

function movesOfRings(rings: readonly Ring[]): Move[] {
  const moves = new Map<string, Move>();
  for (const { giving, getting } of rings.flat()) {
    const key = `${giving} ${getting}`;
    const move = moves.get(key) ?? { giving, getting, containers: 0 };
    moves.set(key, { ...move, containers: move.containers + 1 });
  }
  return [...moves.values()];
}

/** A ring from its smallest id on, so that it is written in one way only. */
function turned(ring: readonly string[]): string[] {
  const first = ring.reduce((best, id, i) => (byCodeUnits(id, ring[best] ?? '') < 0 ? i : best), 0);
  return [...ring.slice(first), ...ring.slice(0, first)];
}

function namedRings(rings: readonly (readonly string[])[]): string[][] {
  return rings.map(turned).sort((a, b) => a.length - b.length || byCodeUnits(JSON.stringify(a), JSON.stringify(b)));
}

/** The result of what was found. `households`: everybody who offers or wants something. */
export function matchOf(problem: SwapProblem, found: Found, everybody: Iterable<string>): SwapMatch {
  const { givings, gettings, households, partsPerPortion } = problem;
  const moves = found.rings
    ? movesOfRings(found.rings)
    : movesOfFlow(problem, found.flow ?? { given: new Int32Array(0), got: [] });
  const balance = new Map([...everybody].sort(byCodeUnits).map((id) => [id, 0n]));
  const between: Between = new Map();
  for (const { giving, getting, containers } of moves) {
    const { household: from = 0, parts = 0 } = givings[giving] ?? {};
    const to = gettings[getting]?.household ?? 0;
    addBetween(between, from, to, containers);
    const amount = BigInt(parts * containers);
    for (const [h, change] of [
      [from, amount],
      [to, -amount],
    ] as const) {
      const id = households[h] ?? '';
      balance.set(id, (balance.get(id) ?? 0n) + change);
    }
  }
  const rings = found.rings
    ? found.rings.map((ring) => ring.map(({ giving }) => givings[giving]?.household ?? 0))
    : takeRings(between);
  return {
    proof: found.isBest ? 'optimal' : 'bounded',
    moves: moves
      .map(({ giving, getting, containers }) => ({
        offer: givings[giving]?.offer.id ?? '',
        want: gettings[getting]?.want.id ?? '',
        containers,
      }))
      .sort((a, b) => byCodeUnits(a.offer, b.offer) || byCodeUnits(a.want, b.want)),
    rings: namedRings(rings.map((ring) => ring.map((h) => households[h] ?? ''))),
    balance: new Map([...balance].map(([id, parts]) => [id, rational(parts, partsPerPortion)])),
    moved: rational(BigInt(found.worth.parts), partsPerPortion),
    atMost: found.isBest ? undefined : rational(BigInt(found.mostParts), partsPerPortion),
  };
}

export const everybodyIn = ({ offers, wants }: SwapMatchInput): Set<string> =>
  new Set([...offers, ...wants].map(({ household }) => household));

/**
 * Who gives which containers to whom, so that the most wishes are met.
 * Method: a circulation household - offer - dish - want - household in which what was offered leaves and what was wanted arrives, each household's balance
 * within the credit. Aims, each only among what is best for those before it: most portions moved; fewest portions x days from the earliest best-before date;
 * highest scores. With containers of one size an exact network simplex (matchEvenSizes); with several sizes exchanges along rings from the opened matching
 * (matchUnevenSizes); with a ring limit rings of two or three, improved one by one (findRings). Ties by lot from the seed.
 * Guarantee: nobody gets what it excludes, or a dish that it offers itself; offers, wants and credit are kept; `optimal`: no matching is better in this order;
 * `bounded`: no matching moves more than `atMost` portions. `portions`, `creditPortions`: exact, portions; containers: whole; `score`: whole.
 */
export function matchSwaps(input: SwapMatchInput): SwapMatch {
  const problem = swapProblem(input);
  return matchOf(problem, findMatch(problem), everybodyIn(input));
}

/** The JSON form of a matching: fractions as text; `atMost` only with `bounded`. */
export interface SwapMatchOutput {
  proof: SwapMatch['proof'];
  moves: SwapMove[];
  rings: string[][];
  balance: Record<string, string>;
  atMost?: string;
}

export function writeSwapMatch({ proof, moves, rings, balance, atMost }: SwapMatch): SwapMatchOutput {
  return {
    proof,
    moves,
    rings,
    balance: sortedRecord([...balance].map(([id, portions]) => [id, format(portions)] as const)),
    ...(atMost ? { atMost: format(atMost) } : {}),
  };
}

/** The command `swap-match`: matchSwaps from JSON to JSON. Throws `invalid-input` with every fault and its pointer (readSwapMatch). */
export const swapMatch = (input: unknown): SwapMatchOutput => writeSwapMatch(matchSwaps(readSwapMatch(input)));
