import type { Rational } from '../rational.ts';
import { eq, floor, isZero, mul, one, rational, sub } from '../rational.ts';
import { improveWishes } from './exchange-cycles.ts';
import { levelAlongChains } from './exchange-paths.ts';
import { allotSpare, fitFreezers } from './freezers.ts';
import { Holding } from './holding.ts';
import { levelByKicks } from './kicks.ts';
import { levelDeviations } from './level.ts';
import { nearestBase } from './nearest-base.ts';
import type { Problem } from './problem.ts';
import { portionsOf, supplyOf } from './problem.ts';
import { roundContainers } from './rounding.ts';
import type { RoomToDiffer } from './room-to-differ.ts';
import { roomToDiffer } from './room-to-differ.ts';

/** The parts of the objective in the order in which they count. */
export const stageNames = ['unallotted', 'squaredDeviation', 'refused', 'outsideFairShare', 'score'] as const;
export type StageName = (typeof stageNames)[number];

/** Those of them that are wishes. */
export const wishNames = ['refused', 'outsideFairShare', 'score'] as const satisfies readonly StageName[];

/**
 * How it is known that nothing better exists: `shown` by a bound that needs no search (see roomToDiffer and improveWishes), `searched` by an integer
 * program that went through all divisions, or in any other way that the result alone does not show; `open` when it is not known.
 */
export type StageProof = 'shown' | 'searched' | 'open';

/** A division of the containers with all that is known about how good it is. */
export interface Division {
  holding: Holding;
  /** whether a fluid could meet every target, so that nobody may be a whole largest container away from it */
  isAttainable: boolean;
  proofs: Record<StageName, StageProof>;
  /** of stages that are open: what cannot be passed, where something is known */
  bounds: Partial<Record<StageName, Rational>>;
  /** what wishes may be met within */
  room: RoomToDiffer;
}

/** Containers that nobody may eat stay unallotted in every division. */
function leastUnallotted({ free, eats, dishOf }: Problem): number {
  return free.reduce((total, count, l) => (eats.some((row) => row[dishOf[l] ?? 0]) ? total : total + count), 0);
}

/** Where every household stays at what it has and everything it eats may be exchanged. */
function staying(holding: Holding): RoomToDiffer {
  const { households, lots } = holding.problem;
  return {
    units: holding.unitsNow().map((units) => [units, units]),
    mayTake: households.map((_, h) => lots.map((__, l) => holding.eats(h, l))),
  };
}

/** The most that a deviation may be in size, times the factor of the holding: less than the largest container where targets can be met. */
export function guaranteed(holding: Holding): bigint {
  const largest = holding.problem.lots.reduce((most, { containers }, l) => {
    const worth = containers > 0 ? (holding.worth[l] ?? 0n) : 0n;
    return worth > most ? worth : most;
  }, 0n);
  return largest - 1n;
}

/** The room in which wishes may be met: what is as near to the targets, and what the variety window allows beyond. */
function roomForWishes(holding: Holding, near: RoomToDiffer | undefined, isAttainable: boolean): RoomToDiffer {
  const base = near ?? staying(holding);
  const bound = guaranteed(holding);
  const asked = floor(mul(holding.problem.varietyWindow, rational(holding.factor)));
  const window = asked < bound ? asked : bound;
  const now = holding.unitsNow();
  const units = base.units.map(([least, most], h): [number, number] => {
    const has = now[h] ?? 0;
    const [a, b] = window > 0n ? holding.unitsWithin(h, window) : [has, has];
    const [low, high] = a <= b ? [Math.min(least, a), Math.max(most, b)] : [least, most];
    if (!isAttainable) return [low, high];
    const [p, q] = holding.unitsWithin(h, bound);
    return [Math.min(has, Math.max(low, p)), Math.max(has, Math.min(high, q))];
  });
  return { units, mayTake: window > 0n ? staying(holding).mayTake : base.mayTake };
}

function wishProofs(
  holding: Holding,
  isSettled: boolean,
): Pick<Division['proofs'], 'refused' | 'outsideFairShare' | 'score'> {
  const { households, dishes, lots } = holding.problem;
  const sizes = new Set(holding.size.filter((_, l) => (lots[l]?.containers ?? 0) > 0));
  // All exchanges of containers of one size have been tried at once, see improveWishes.
  const isStrict = isZero(holding.problem.varietyWindow);
  if (isSettled && isStrict && sizes.size <= 1 && households.every(({ freezerMl }) => freezerMl === undefined)) {
    return { refused: 'shown', outsideFairShare: 'shown', score: 'shown' };
  }
  const refuses = (h: number, dish: string): boolean => households[h]?.refuses.has(dish) ?? false;
  const heldRefused = holding.problem.held.every((row, h) =>
    row.every((held, l) => !refuses(h, lots[l]?.dish ?? '') || holding.counts[h]?.[l] === held),
  );
  const isInside = holding.ofDish.every((row, h) =>
    dishes.every((_, d) => {
      const [least, most] = holding.fair[h]?.[d] ?? [0, 0];
      return (row[d] ?? 0) >= least && (row[d] ?? 0) <= most;
    }),
  );
  const isIndifferent = households.every(({ scores }) => dishes.every((dish) => (scores.get(dish) ?? 0) === 0));
  const refused = heldRefused ? 'shown' : 'open';
  return { refused, outsideFairShare: isInside ? 'shown' : 'open', score: isIndifferent ? 'shown' : 'open' };
}

/**
 * What is known of the nearness to the targets once wishes are met. With a variety window nothing more is asked than that everybody is within it; who is
 * further away was there before, which the result alone does not show.
 */
function nearness(holding: Holding, wasShown: boolean, known: StageProof): StageProof {
  const { varietyWindow } = holding.problem;
  if (isZero(varietyWindow)) return known;
  const window = floor(mul(varietyWindow, rational(holding.factor)));
  if (holding.deviation.every((off) => off <= window && -off <= window)) return 'shown';
  return wasShown ? 'searched' : known;
}

/**
 * Settles what can be known without a search: whether everything is allotted, whether no division is nearer, and meets wishes within what that leaves open.
 * `searched`: stages that a search has settled already. Changes the holding.
 */
export function settle(holding: Holding, isAttainable: boolean, searched: ReadonlySet<StageName>): Division {
  const known = (stage: StageName, isShown: boolean): StageProof =>
    isShown ? 'shown' : searched.has(stage) ? 'searched' : 'open';
  const spare = (): number => holding.spare.reduce((a, b) => a + b, 0);
  const isFull = spare() === leastUnallotted(holding.problem);
  const near = isFull ? roomToDiffer(holding) : undefined;
  const room = roomForWishes(holding, near, isAttainable);
  const isSettled = improveWishes(holding, room);
  const wishes = wishProofs(holding, isSettled && near !== undefined);
  const wish = (stage: 'refused' | 'outsideFairShare' | 'score'): StageProof => known(stage, wishes[stage] === 'shown');
  return {
    holding,
    isAttainable,
    room,
    proofs: {
      unallotted: known('unallotted', isFull),
      squaredDeviation: nearness(holding, near !== undefined, known('squaredDeviation', near !== undefined)),
      refused: wish('refused'),
      outsideFairShare: wish('outsideFairShare'),
      score: wish('score'),
    },
    bounds: {},
  };
}

/** The portions that each household should have in the end: nearest to the targets among all that the dishes and held containers allow. */
function attainable(problem: Problem, aim: readonly Rational[]): Rational[] {
  return nearestBase({ supply: supplyOf(problem, problem.free), eats: problem.eats, aim, weight: aim.map(() => one) });
}

/**
 * Divides without a search: amounts nearest to the targets as a fluid (nearestBase), whole containers within less than the largest of them
 * (roundContainers), then exchanges that bring deviations nearer to nil (levelDeviations, levelAlongChains), and wishes (improveWishes).
 */
export function divide(problem: Problem, target: readonly Rational[]): Division {
  const aim = target.map((value, h) => sub(value, portionsOf(problem, problem.held[h] ?? [])));
  const rows = attainable(problem, aim);
  const isFree = problem.households.every(({ freezerMl }) => freezerMl === undefined);
  const holding = new Holding(problem, target, roundContainers(problem, rows));
  fitFreezers(holding);
  allotSpare(holding);
  level(holding);
  return settle(holding, isFree && rows.every((row, h) => eq(row, aim[h] ?? row)), new Set());
}

/** Brings deviations nearer to nil by exchanges. With containers of one size the rounding is already nearest, and nothing is to be gained. */
export function level(holding: Holding): void {
  if (new Set(holding.size).size === 1 || roomToDiffer(holding)) return;
  levelDeviations(holding);
  if (!roomToDiffer(holding)) levelAlongChains(holding);
  if (!roomToDiffer(holding)) levelByKicks(holding);
  allotSpare(holding);
}
