import type { IntegerModel } from '../solver/model.ts';
import { ModelBuilder } from '../solver/model-builder.ts';
import type { SwapFlow, SwapProblem } from './swap-problem.ts';
import { noFlow } from './swap-problem.ts';

type Term = readonly [string, number];

/** Names are made of ids, so that the model, and with it the draw, does not depend on the order of the input. */
const nameOf = (...parts: (string | number)[]): string => JSON.stringify(parts);

export interface FlowModel {
  model: IntegerModel;
  flowOf: (values: ReadonlyMap<string, number>) => SwapFlow;
  valuesOf: (flow: SwapFlow) => Map<string, number>;
}

/** The whole matching as an integer program: containers out of each offer and into each want by size; a dish in containers of one size is a hub. */
export function flowModel(problem: SwapProblem): FlowModel {
  const { households, hubs, givings, gettings, credit, partsPerPortion } = problem;
  const builder = new ModelBuilder();
  const balance: Term[][] = households.map(() => []);
  const through: Term[][] = hubs.map(() => []);
  const given = givings.map(({ offer, household, hub, containers, parts }) => {
    const name = builder.whole(nameOf('give', offer.id), 0, containers);
    balance[household]?.push([name, parts]);
    through[hub]?.push([name, 1]);
    return name;
  });
  const got = gettings.map(({ want, household, hubs: from, containers }) => {
    const names = from.map((hub) => {
      const name = builder.whole(nameOf('get', want.id, hubs[hub]?.parts ?? 0), 0, containers);
      balance[household]?.push([name, -(hubs[hub]?.parts ?? 0)]);
      through[hub]?.push([name, -1]);
      return name;
    });
    if (names.length > 1)
      builder.atMost(
        nameOf('want', want.id),
        names.map((name): Term => [name, 1]),
        containers,
      );
    return names;
  });
  through.forEach((terms, hub) =>
    builder.equals(nameOf('hub', hubs[hub]?.dish ?? '', hubs[hub]?.parts ?? 0), terms, 0),
  );
  balance.forEach((terms, h) => builder.between(nameOf('balance', households[h] ?? ''), terms, -credit, credit));
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
    model: builder.build({ seed: JSON.stringify([problem.seed, `${partsPerPortion}`]) }),
    flowOf: (values) => {
      const flow = noFlow(problem);
      given.forEach((name, g) => (flow.given[g] = values.get(name) ?? 0));
      got.forEach((names, g) => names.forEach((name, i) => flow.got[g]?.set([values.get(name) ?? 0], i)));
      return flow;
    },
    valuesOf: (flow) =>
      new Map([
        ...given.map((name, g): [string, number] => [name, flow.given[g] ?? 0]),
        ...got.flatMap((names, g) => names.map((name, i): [string, number] => [name, flow.got[g]?.[i] ?? 0])),
      ]),
  };
}
