import { snapCarried } from '../allocation/carry.ts';
import { byCodeUnits, sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, format, isZero, rational, sub, zero } from '../rational.ts';
import type { Division, StageName, StageProof } from './division.ts';
import { divide, stageNames } from './division.ts';
import { entitlementOf } from './entitlement.ts';
import type { Holding } from './holding.ts';
import type { Problem } from './problem.ts';
import { portionsOf, problemOf } from './problem.ts';
import type { ShareOutInput } from './share-out-input.ts';
import { readShareOut } from './share-out-input.ts';

/** How good a division is, in the order in which it was sought: each part matters only where those before it are equal. */
export interface ShareOutObjective {
  /** containers that nobody has */
  unallotted: number;
  /** sum over households of (received - target)^2, in portions squared */
  squaredDeviation: Rational;
  /** containers of a dish that their household would rather not have */
  refused: number;
  /** containers beyond, or missing from, floor to ceiling of a household's part of a dish by target */
  outsideFairShare: number;
  /** sum of the scores of all containers */
  score: number;
}

/**
 * How far it is proved that nothing better exists: `optimal` when every stage is; `bounded` when a search ran out of time, with what is known in `stages`;
 * `constructive` when no search was made and the bounds that need none do not show every stage.
 */
export type ShareOutProof = 'optimal' | 'bounded' | 'constructive';

/** How one part of the objective is proved; `bound` is what no division can pass, where a stage is open and that is known. */
export interface StageStanding {
  stage: StageName;
  proof: StageProof;
  bound?: Rational;
}

/** Who gets which containers, and the exact portions that explain it; maps by household id. */
export interface ShareOut {
  proof: ShareOutProof;
  entitlement: Map<string, Rational>;
  target: Map<string, Rational>;
  received: Map<string, Rational>;
  owedAfter: Map<string, Rational>;
  /** only households that no division can bring up to their weight's part */
  short: Map<string, Rational>;
  /** household to lot to containers, without noughts */
  containers: Map<string, Map<string, number>>;
  unallotted: Map<string, number>;
  objective: ShareOutObjective;
  stages: StageStanding[];
  /** what the snap of long fractions left for the common account, nearly always nil */
  common: Rational;
}

/** How good a division is. */
export function objectiveOf(holding: Holding): ShareOutObjective {
  const { households, dishes } = holding.problem;
  const objective: ShareOutObjective = {
    unallotted: holding.spare.reduce((a, b) => a + b, 0),
    squaredDeviation: rational(
      holding.deviation.reduce((total, deviation) => total + deviation * deviation, 0n),
      holding.factor * holding.factor,
    ),
    refused: 0,
    outsideFairShare: 0,
    score: 0,
  };
  households.forEach(({ refuses, scores }, h) =>
    dishes.forEach((dish, d) => {
      const count = holding.ofDish[h]?.[d] ?? 0;
      const [least, most] = holding.fair[h]?.[d] ?? [0, 0];
      if (refuses.has(dish)) objective.refused += count;
      objective.outsideFairShare += Math.max(0, least - count, count - most);
      objective.score += count * (scores.get(dish) ?? 0);
    }),
  );
  return objective;
}

const named = <T>(problem: Problem, values: readonly T[]): Map<string, T> => {
  const pairs = problem.households.flatMap(({ id }, h): [string, T][] => {
    const value = values[h];
    return value === undefined ? [] : [[id, value]];
  });
  return new Map(pairs.sort(([a], [b]) => byCodeUnits(a, b)));
};

const countsOf = (problem: Problem, row: readonly number[]): Map<string, number> =>
  new Map(
    problem.lots
      .flatMap(({ id }, l): [string, number][] => (row[l] ? [[id, row[l]]] : []))
      .sort(([a], [b]) => byCodeUnits(a, b)),
  );

/** A share-out on its way: what is due to whom, and the division so far. */
export interface Draft {
  problem: Problem;
  entitlement: Rational[];
  short: Rational[];
  target: Rational[];
  division: Division;
}

/** What is due to whom, and a division without a search. */
export function draftOf(input: ShareOutInput): Draft {
  const problem = problemOf(input);
  const { entitlement, short } = entitlementOf(problem);
  const target = problem.households.map(({ owed }, h) => add(entitlement[h] ?? zero, owed));
  return { problem, entitlement, short, target, division: divide(problem, target) };
}

/** The result of a draft; `isSearched` when a search was made, however it ended. */
export function shareOutOf({ problem, entitlement, short, target, division }: Draft, isSearched: boolean): ShareOut {
  const { holding, proofs, bounds } = division;
  const received = holding.counts.map((row) => portionsOf(problem, row));
  const exactOwed = named(
    problem,
    target.map((value, h) => sub(value, received[h] ?? zero)),
  );
  const { carried, common } = snapCarried(exactOwed, problem.seed);
  const isOptimal = stageNames.every((stage) => proofs[stage] !== 'open');
  return {
    proof: isOptimal ? 'optimal' : isSearched ? 'bounded' : 'constructive',
    entitlement: named(problem, entitlement),
    target: named(problem, target),
    received: named(problem, received),
    owedAfter: new Map([...carried].sort(([a], [b]) => byCodeUnits(a, b))),
    short: new Map([...named(problem, short)].filter(([, value]) => !isZero(value))),
    containers: named(
      problem,
      holding.counts.map((row) => countsOf(problem, row)),
    ),
    unallotted: countsOf(problem, holding.spare),
    objective: objectiveOf(holding),
    stages: stageNames.map((stage) => {
      const bound = proofs[stage] === 'open' ? bounds[stage] : undefined;
      return { stage, proof: proofs[stage], ...(bound ? { bound } : {}) };
    }),
    common,
  };
}

/**
 * Divides the sealed containers of a round fairly among its households.
 * Method: (1) entitlement, each household's weighted leximin part of the portions given who may eat what, exact (entitlementOf); (2) target =
 * entitlement + what earlier rounds left owed; (3) whole containers near the targets, without a search (divide), and what that already
 * proves; shareOutProved searches for the rest. Ties by lot from the seed. `excludes` is kept always, containers that
 * are held stay, `refuses` and `scores` are wishes. Freezer space is kept, see fitFreezers for what that costs.
 * Guarantee: every container that somebody may eat (and has room for) is allotted; whenever the targets can be met by a fluid, every household
 * receives within less than one largest container of its target; with containers of one size, no held ones and no dislikes, floor or ceiling of its
 * part in total and of every dish. As the difference is owed to the next round, what a household is owed stays below one largest container for as long
 * as targets can be met. `short` cannot be met by anybody and is not carried.
 * `weight`, `owed`, `portions`, `counts`: exact, portions; nothing is negative except `owed`. Gives exact portions in which received +
 * owedAfter = target, apart from fractions of more than 24 digits, which are kept in millionths of a millionth (snapCarried) and may
 * leave less than one such part to `common`.
 */
export const shareContainers = (input: ShareOutInput): ShareOut => shareOutOf(draftOf(input), false);

/** The JSON form of a share-out: fractions as text, counts as numbers; `common` only when it is not nil. */
export interface ShareOutOutput {
  proof: ShareOutProof;
  entitlement: Record<string, string>;
  target: Record<string, string>;
  received: Record<string, string>;
  owedAfter: Record<string, string>;
  short: Record<string, string>;
  containers: Record<string, Record<string, number>>;
  unallotted: Record<string, number>;
  objective: {
    unallotted: number;
    squaredDeviation: string;
    refused: number;
    outsideFairShare: number;
    score: number;
  };
  /** missing in results kept from before the stages were told */
  stages?: { stage: StageName; proof: StageProof; bound?: string }[];
  common?: string;
}

const texts = (values: ReadonlyMap<string, Rational>): Record<string, string> =>
  sortedRecord([...values].map(([id, value]) => [id, format(value)] as const));

/** A share-out as JSON. */
export function writeShareOut(result: ShareOut): ShareOutOutput {
  const { objective } = result;
  return {
    proof: result.proof,
    entitlement: texts(result.entitlement),
    target: texts(result.target),
    received: texts(result.received),
    owedAfter: texts(result.owedAfter),
    short: texts(result.short),
    containers: sortedRecord([...result.containers].map(([id, lots]) => [id, sortedRecord(lots)] as const)),
    unallotted: sortedRecord(result.unallotted),
    objective: { ...objective, squaredDeviation: format(objective.squaredDeviation) },
    stages: result.stages.map(({ stage, proof, bound }) => ({
      stage,
      proof,
      ...(bound ? { bound: format(bound) } : {}),
    })),
    ...(isZero(result.common) ? {} : { common: format(result.common) }),
  };
}

/** The command `share-out`: shareContainers from JSON to JSON. Throws `invalid-input` with every fault and its pointer (readShareOut). */
export const shareOut = (input: unknown): ShareOutOutput => writeShareOut(shareContainers(readShareOut(input)));
