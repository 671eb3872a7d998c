import type { IntegerModel } from '../solver/model.ts';
import { ModelBuilder } from '../solver/model-builder.ts';
import type { SwapFlow, SwapProblem } from './swap-problem.ts';
import { noFlow } from './swap-problem.ts';

type Term = readonly [string, number];

export interface FlowModel {
  model: IntegerModel;
  flowOf: (values: ReadonlyMap<string, number>) => SwapFlow;
  /** a matching as values of the model, for the solver to begin with */
  valuesOf: (flow: SwapFlow) => Map<string, number>;
}

/**
 * The whole matching as an integer program: containers out of each offer and into each want by size; a dish in containers of one size is a hub. Names are the
 * numbers that the lot from the seed gave, so that neither the order of the input nor anybody's id decides between equally good matchings.
 */
export function flowModel(problem: SwapProblem): FlowModel {
  const { households, hubs, givings, gettings, credit } = problem;
  const builder = new ModelBuilder();
  const balance: Term[][] = households.map(() => []);
  const through: Term[][] = hubs.map(() => []);
  const given = givings.map(({ household, hub, containers, parts }, g) => {
    const name = builder.whole(`give ${g}`, 0, containers);
    balance[household]?.push([name, parts]);
    through[hub]?.push([name, 1]);
    return name;
  });
  const got = gettings.map(({ household, hubs: from, containers }, g) => {
    const names = from.map((hub, place) => {
      const name = builder.whole(`get ${g} ${place}`, 0, containers);
      balance[household]?.push([name, -(hubs[hub]?.parts ?? 0)]);
      through[hub]?.push([name, -1]);
      return name;
    });
    if (names.length > 1)
      builder.atMost(
        `want ${g}`,
        names.map((name): Term => [name, 1]),
        containers,
      );
    return names;
  });
  through.forEach((terms, hub) => builder.equals(`hub ${hub}`, terms, 0));
  balance.forEach((terms, h) => builder.between(`balance ${h}`, terms, -credit, credit));
  builder.seek(
    'portions',
    'most',
    givings.map(({ parts }, g): Term => [given[g] ?? '', parts]),
  );
  builder.seek(
    'days',
    'least',
    givings.map(({ parts, days }, g): Term => [given[g] ?? '', parts * days]),
  );
  builder.seek(
    'scores',
    'most',
    gettings.flatMap(({ score }, g) => (got[g] ?? []).map((name): Term => [name, score])),
  );
  return {
    model: { ...builder.build(), before: 'rounding' },
    flowOf: (values) => {
      const flow = noFlow(problem);
      given.forEach((name, g) => (flow.given[g] = values.get(name) ?? 0));
      got.forEach((names, g) => names.forEach((name, i) => flow.got[g]?.set([values.get(name) ?? 0], i)));
      return flow;
    },
    valuesOf: (flow) =>
      new Map([
        ...given.map((name, g) => [name, flow.given[g] ?? 0] as const),
        ...got.flatMap((names, g) => names.map((name, i) => [name, flow.got[g]?.[i] ?? 0] as const)),
      ]),
  };
}
