import { sha256 } from '../allocation/sha256.ts';
import { FlowNetwork } from '../share-out/flow-network.ts';
import type { Group, PlanProblem } from './plan-problem.ts';

export type AimName = 'short' | 'left' | 'unwilling' | 'variety' | 'wishes' | 'cost' | 'portions' | 'batches';

/** One thing of which as little as possible is sought, after everything that stands before it. */
export interface Aim {
  readonly name: AimName;
  /** the ingredient of `left` */
  readonly of?: string;
  /** whether more batches can only lower it, or only raise it */
  readonly falls: boolean;
  readonly valueOf: (batches: readonly number[]) => number;
}

const weigh = (weights: readonly number[], batches: readonly number[]): number =>
  batches.reduce((total, n, d) => total + n * (weights[d] ?? 0), 0);

/** Above this many groups the sets of groups are too many to go through, and a flow is sought instead. */
const mostGroupsInSets = 6;

interface Cut {
  readonly wanted: number;
  readonly parts: readonly number[];
}

/** Every set of groups with what it wants and the dishes that any of it gets. */
function cutsOf(groups: readonly Group[], parts: readonly number[]): Cut[] {
  return Array.from({ length: (1 << groups.length) - 1 }, (_, index) => {
    const inSet = groups.filter((__, g) => ((index + 1) >> g) & 1);
    return {
      wanted: inSet.reduce((total, group) => total + group.parts, 0),
      parts: parts.map((each, d) => (inSet.some(({ gets }) => gets[d]) ? each : 0)),
    };
  });
}

/** What the groups cannot be given, by a greatest flow from dishes to groups. */
function lackByFlow(
  groups: readonly Group[],
  wantedOf: (group: Group) => number,
  edgeOf: (group: Group) => number | undefined,
  supply: readonly number[],
): number {
  const network = new FlowNetwork(2 + supply.length + groups.length);
  const wanted = groups.reduce((total, group) => total + wantedOf(group), 0);
  supply.forEach((amount, d) => {
    if (amount > 0) network.addArc(0, 2 + d, BigInt(amount));
  });
  groups.forEach((group, g) => {
    const node = 2 + supply.length + g;
    network.addArc(node, 1, BigInt(wantedOf(group)));
    supply.forEach((amount, d) => {
      if (amount > 0 && group.gets[d]) network.addArc(2 + d, node, BigInt(edgeOf(group) ?? amount));
    });
  });
  return wanted - Number(network.run(0, 1));
}

/**
 * Parts that the groups want and cannot get from these batches. Method: by the theorem of greatest flow and least cut the greatest lack of any set of groups,
 * over all sets where there are few groups, else a flow (FlowNetwork).
 */
function lackOf(groups: readonly Group[], parts: readonly number[]): Aim['valueOf'] {
  if (groups.length > mostGroupsInSets) {
    return (batches) =>
      lackByFlow(
        groups,
        (group) => group.parts,
        () => undefined,
        batches.map((n, d) => n * (parts[d] ?? 0)),
      );
  }
  const cuts = cutsOf(groups, parts);
  return (batches) =>
    cuts.reduce((most, cut) => {
      const lack = cut.wanted - weigh(cut.parts, batches);
      return lack > most ? lack : most;
    }, 0);
}

/** How many containers of each dish there are. */
const containersOf = ({ parts, container }: PlanProblem, batches: readonly number[]): number[] =>
  batches.map((n, d) => Math.floor((n * (parts[d] ?? 0)) / (container[d] ?? 1)));

/** How many different dishes the households go without of those that they would like, when each gets at most one container of a dish. */
function varietyLack(problem: PlanProblem): Aim['valueOf'] {
  const { varied } = problem;
  const everybody = varied.reduce((total, { households }) => total + households, 0);
  return (batches) => {
    const containers = containersOf(problem, batches);
    if (containers.every((count) => count === 0 || count >= everybody)) {
      return varied.reduce((total, { gets, households, variety }) => {
        const there = containers.filter((count, d) => count > 0 && gets[d]).length;
        return total + households * (there < variety ? variety - there : 0);
      }, 0);
    }
    return lackByFlow(
      varied,
      ({ households, variety }) => households * variety,
      ({ households }) => households,
      containers,
    );
  };
}

function wishLack(problem: PlanProblem): Aim['valueOf'] {
  const { wishers } = problem;
  return (batches) =>
    containersOf(problem, batches).reduce((lack, count, d) => {
      const wished = wishers[d] ?? 0;
      return lack + (count < wished ? wished - count : 0);
    }, 0);
}

/** What is sought, most important first. An aim that nothing can change is left out. */
export function aimsOf(problem: PlanProblem): Aim[] {
  const { eating, willing, parts, hand, cost, ids } = problem;
  const sumAim = (name: AimName, weights: readonly number[]): Aim => ({
    name,
    falls: false,
    valueOf: (batches) => weigh(weights, batches),
  });
  return [
    { name: 'short', falls: true, valueOf: lackOf(eating, parts) },
    ...hand.map(({ ingredient, perBatch, steps }): Aim => ({
      name: 'left',
      of: ingredient,
      falls: true,
      valueOf: (batches) => steps - weigh(perBatch, batches),
    })),
    { name: 'unwilling', falls: true, valueOf: lackOf(willing, parts) },
    { name: 'variety', falls: true, valueOf: varietyLack(problem) },
    { name: 'wishes', falls: true, valueOf: wishLack(problem) },
    ...(cost ? [sumAim('cost', cost)] : []),
    sumAim('portions', parts),
    sumAim(
      'batches',
      ids.map(() => 1),
    ),
  ];
}

/** Weights by lot from the seed, for plans that are equal in every aim; below 65,536. */
export const lotWeights = ({ seed, ids }: PlanProblem): number[] =>
  ids.map((id) => Number(BigInt(`0x${sha256(JSON.stringify([seed, id])).slice(0, 4)}`)));

/** Batches of each dish and what they come to; the values of all aims, and the weight of the lot last. */
export interface Standing {
  readonly batches: readonly number[];
  readonly values: readonly number[];
}

export const standingOf = (aims: readonly Aim[], lots: readonly number[], batches: readonly number[]): Standing => ({
  batches,
  values: [...aims.map(({ valueOf }) => valueOf(batches)), weigh(lots, batches)],
});

/** The standing of batches where it is better than another, found aim by aim so that most of the work is saved; else undefined. */
export function betterThan(
  aims: readonly Aim[],
  lots: readonly number[],
  batches: readonly number[],
  best: Standing,
): Standing | undefined {
  for (const [index, { valueOf }] of aims.entries()) {
    const value = valueOf(batches);
    const known = best.values[index] ?? 0;
    if (value > known) return undefined;
    if (value < known) return standingOf(aims, lots, batches);
  }
  return weigh(lots, batches) < (best.values.at(-1) ?? 0) ? standingOf(aims, lots, batches) : undefined;
}

/** Whether nothing between these fewest and most batches can be better: each aim at its better end is no better than the best. */
export function isHopeless(
  aims: readonly Aim[],
  lots: readonly number[],
  fewest: readonly number[],
  most: readonly number[],
  best: Standing,
): boolean {
  for (const [index, { valueOf, falls }] of aims.entries()) {
    const value = valueOf(falls ? most : fewest);
    const known = best.values[index] ?? 0;
    if (value > known) return true;
    if (value < known) return false;
  }
  return weigh(lots, fewest) >= (best.values.at(-1) ?? 0);
}
