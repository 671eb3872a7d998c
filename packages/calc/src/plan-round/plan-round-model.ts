import { ModelBuilder } from '../solver/model-builder.ts';
import type { IntegerModel, Terms } from '../solver/model.ts';
import type { Group, PlanProblem } from './plan-problem.ts';
import type { Aim, AimName } from './plan-worth.ts';
import { lotWeights } from './plan-worth.ts';

const batchesName = (id: string): string => `batches ${id}`;
const madeName = (id: string): string => `made ${id}`;

/** Batches of the dishes times these weights. */
const weighed = ({ ids }: PlanProblem, weights: readonly number[]): [string, number][] =>
  ids.flatMap((id, d): [string, number][] => ((weights[d] ?? 0) === 0 ? [] : [[batchesName(id), weights[d] ?? 0]]));

function addLimits(builder: ModelBuilder, problem: PlanProblem): void {
  const { ids, limits, most } = problem;
  if (limits.some(({ fixed }) => fixed.some((each) => each > 0))) {
    ids.forEach((id, d) => {
      const made = builder.decision(madeName(id));
      builder.atMost(`${made}: when there is a batch`, [[batchesName(id), 1], [made, -(most[d] ?? 0)]], 0); // prettier-ignore
    });
  }
  for (const limit of limits) {
    const fixed = ids.flatMap((id, d): [string, number][] =>
      (limit.fixed[d] ?? 0) === 0 ? [] : [[madeName(id), limit.fixed[d] ?? 0]],
    );
    builder.atMost(
      `limit ${limit.name} ${limit.of ?? ''}`,
      [...weighed(problem, limit.perBatch), ...fixed],
      limit.most,
    );
  }
}

/** What groups lack: each dish gives to groups what its batches hold, and what a group does not get is lacking. */
function addLack(
  builder: ModelBuilder,
  problem: PlanProblem,
  name: AimName,
  groups: readonly Group[],
  wantedOf: (group: Group) => number,
  edgeOf: (group: Group) => number,
  sizeOf: (dish: number) => number,
): Terms {
  const given: [string, number][][] = problem.ids.map(() => []);
  const lacks = groups.map((group, g) => {
    const wanted = wantedOf(group);
    const lack = builder.whole(`${name} ${g} lacks`, 0, wanted);
    const got = problem.ids.flatMap((id, d): [string, number][] => {
      if (!group.gets[d]) return [];
      const gives = builder.whole(`${name} ${g} gets ${id}`, 0, edgeOf(group));
      given[d]?.push([gives, sizeOf(d)]);
      return [[gives, 1]];
    });
    builder.equals(`${name} ${g}`, [...got, [lack, 1]], wanted);
    return [lack, 1] as const;
  });
  problem.ids.forEach((id, d) => {
    const parts = given[d] ?? [];
    if (parts.length > 0)
      builder.atMost(`${name} of ${id}`, [...parts, [batchesName(id), -(problem.parts[d] ?? 0)]], 0);
  });
  return lacks;
}

function wishTerms(builder: ModelBuilder, { ids, wishers, container, parts }: PlanProblem): Terms {
  return ids.flatMap((id, d): [string, number][] => {
    const wished = wishers[d] ?? 0;
    if (wished === 0) return [];
    const met = builder.whole(`wishes met ${id}`, 0, wished);
    builder.atMost(`wishes ${id}`, [[met, container[d] ?? 1], [batchesName(id), -(parts[d] ?? 0)]], 0); // prettier-ignore
    return [[met, 1]];
  });
}

/** The integer program of a plan, one stage for each of its aims and one for the lot; its numbers may be too large for a solver, see modelFaults. */
export function planRoundModel(problem: PlanProblem, aims: readonly Aim[]): IntegerModel {
  const builder = new ModelBuilder();
  const { ids, least, most, parts, container, hand } = problem;
  ids.forEach((id, d) => builder.whole(batchesName(id), least[d] ?? 0, most[d] ?? 0));
  addLimits(builder, problem);
  const portionLack = (name: AimName, groups: readonly Group[]): Terms =>
    addLack(
      builder,
      problem,
      name,
      groups,
      (group) => group.parts,
      (group) => group.parts,
      () => 1,
    );
  for (const { name, of } of aims) {
    const stage = of === undefined ? name : `${name} ${of}`;
    if (name === 'short') builder.seek(stage, 'least', portionLack(name, problem.eating));
    if (name === 'unwilling') builder.seek(stage, 'least', portionLack(name, problem.willing));
    if (name === 'variety') {
      const lack = addLack(
        builder,
        problem,
        name,
        problem.varied,
        ({ households, variety }) => households * variety,
        ({ households }) => households,
        (d) => container[d] ?? 1,
      );
      builder.seek(stage, 'least', lack);
    }
    if (name === 'wishes') builder.seek(stage, 'most', wishTerms(builder, problem));
    if (name === 'left') {
      const use = hand.find(({ ingredient }) => ingredient === of)?.perBatch ?? [];
      builder.seek(stage, 'most', weighed(problem, use));
    }
    if (name === 'cost') builder.seek(stage, 'least', weighed(problem, problem.cost ?? []));
    if (name === 'portions') builder.seek(stage, 'least', weighed(problem, parts));
    if (name === 'batches') {
      builder.seek(
        stage,
        'least',
        ids.map((id) => [batchesName(id), 1]),
      );
    }
  }
  builder.seek('lot', 'least', weighed(problem, lotWeights(problem)));
  return builder.build();
}

/** The bound of a stage as the least value of its aim. */
export function leastOfAim(problem: PlanProblem, { name, of }: Aim, bound: number): number {
  if (name === 'left')
    return (problem.hand.find(({ ingredient }) => ingredient === of)?.steps ?? 0) - Math.floor(bound);
  if (name === 'wishes') return problem.wishers.reduce((total, each) => total + each, 0) - Math.floor(bound);
  return Math.ceil(bound);
}

/** The batches in a solution. */
export const batchesOfValues = ({ ids }: PlanProblem, values: ReadonlyMap<string, number>): number[] =>
  ids.map((id) => values.get(batchesName(id)) ?? 0);
