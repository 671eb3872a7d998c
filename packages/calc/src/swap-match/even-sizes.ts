import { Circulation } from './network-simplex.ts';
import type { SwapFlow, SwapProblem } from './swap-problem.ts';
import { noFlow } from './swap-problem.ts';

/**
 * The best matching when all containers hold the same: a circulation household - offer - dish - want - household, in containers, with a pool for what is given
 * on credit. The network makes the solution whole, so this is the optimum of all three aims.
 */
export function matchEvenSizes(problem: SwapProblem): SwapFlow {
  const { households, hubs, givings, gettings, credit } = problem;
  const network = new Circulation();
  const householdNodes = households.map(() => network.addNode());
  const hubNodes = hubs.map(() => network.addNode());
  const pool = network.addNode();
  const size = hubs[0]?.parts ?? 1;
  const onCredit = Math.floor(credit / size);
  const node = (list: readonly number[], at: number): number => list[at] ?? 0;
  const giving = givings.map(({ household, hub, containers, days }) =>
    network.addArc(node(householdNodes, household), node(hubNodes, hub), containers, [-1, days, 0]),
  );
  const getting = gettings.map(({ household, hubs: from, containers, score }) =>
    network.addArc(node(hubNodes, from[0] ?? 0), node(householdNodes, household), containers, [0, 0, -score]),
  );
  for (const household of householdNodes) {
    network.addArc(household, pool, onCredit, [0, 0, 0]);
    network.addArc(pool, household, onCredit, [0, 0, 0]);
  }
  network.run();
  const flow = noFlow(problem);
  giving.forEach((arc, g) => (flow.given[g] = network.flowOn(arc)));
  getting.forEach((arc, g) => flow.got[g]?.fill(network.flowOn(arc)));
  return flow;
}
