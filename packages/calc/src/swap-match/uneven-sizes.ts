import { Exchange } from './exchange.ts';
import { Circulation } from './network-simplex.ts';
import type { SwapFlow, SwapProblem } from './swap-problem.ts';
import { noFlow } from './swap-problem.ts';

/** Containers of each offer that are among the largest of their dish, as many as its wants have places for. */
function largestOfDish({ givings, gettings, hubs }: SwapProblem): number[] {
  const places = new Map<string, number>();
  for (const { want, containers } of gettings) places.set(want.dish, (places.get(want.dish) ?? 0) + containers);
  const taken = givings.map(() => 0);
  for (const g of [...givings.keys()].sort((a, b) => (givings[b]?.parts ?? 0) - (givings[a]?.parts ?? 0))) {
    const { hub = 0, containers = 0 } = givings[g] ?? {};
    const dish = hubs[hub]?.dish ?? '';
    const left = places.get(dish) ?? 0;
    taken[g] = Math.min(left, containers);
    places.set(dish, left - Math.min(left, containers));
  }
  return taken;
}

interface Opened {
  /** parts out of each offer and into each want */
  given: number[];
  got: number[];
  /** all parts that move */
  parts: number;
}

/**
 * The best matching if containers could be opened and every want be met by the largest size: no matching moves more parts than this. With one size for each
 * dish it is the linear relaxation of the problem. `most`: containers of each offer among the largest that the wants of its dish have places for.
 */
function matchOpened(problem: SwapProblem, most: readonly number[]): Opened {
  const { households, hubs, givings, gettings, credit } = problem;
  const network = new Circulation();
  const householdNodes = households.map(() => network.addNode());
  const dishes = [...new Set(hubs.map(({ dish }) => dish))];
  const dishNodes = new Map(dishes.map((dish) => [dish, { offered: network.addNode(), wanted: network.addNode() }]));
  const pool = network.addNode();
  const largest = new Map(hubs.map(({ dish, parts }) => [dish, parts]));
  const giving = givings.map(({ household, offer, containers, parts, days }) =>
    network.addArc(householdNodes[household] ?? 0, dishNodes.get(offer.dish)?.offered ?? 0, containers * parts, [
      -1,
      days,
      0,
    ]),
  );
  const ofDish = new Map<string, number>();
  givings.forEach(({ offer: { dish }, parts }, g) => {
    ofDish.set(dish, (ofDish.get(dish) ?? 0) + parts * (most[g] ?? 0));
  });
  for (const [dish, { offered, wanted }] of dishNodes)
    network.addArc(offered, wanted, ofDish.get(dish) ?? 0, [0, 0, 0]);
  const getting = gettings.map(({ household, want, containers, score }) => {
    const from = dishNodes.get(want.dish)?.wanted ?? 0;
    const room = containers * (largest.get(want.dish) ?? 0);
    return network.addArc(from, householdNodes[household] ?? 0, room, [0, 0, -score]);
  });
  for (const household of householdNodes) {
    network.addArc(household, pool, credit, [0, 0, 0]);
    network.addArc(pool, household, credit, [0, 0, 0]);
  }
  network.run();
  const flows = (arcs: readonly number[]): number[] => arcs.map((arc) => network.flowOn(arc));
  const given = flows(giving);
  return { given, got: flows(getting), parts: given.reduce((a, b) => a + b, 0) };
}

/** Whole containers as near to the opened matching as can be had dish by dish: wants take the largest container that still fits what flows into them. */
function closed(problem: SwapProblem, opened: Opened): SwapFlow {
  const { givings, gettings, hubs } = problem;
  const flow = noFlow(problem);
  const inHub = hubs.map(() => 0);
  givings.forEach(({ parts, hub }, g) => {
    const count = Math.floor(((opened.given[g] ?? 0) + Math.floor(parts / 2)) / parts);
    flow.given[g] = count;
    inHub[hub] = (inHub[hub] ?? 0) + count;
  });
  const order = [...gettings.keys()].sort((a, b) => (opened.got[b] ?? 0) - (opened.got[a] ?? 0));
  for (const g of order) {
    const { hubs: from = [], containers = 0 } = gettings[g] ?? {};
    let due = opened.got[g] ?? 0;
    let places = containers;
    for (let i = from.length - 1; i >= 0; i--) {
      const hub = from[i] ?? 0;
      const parts = hubs[hub]?.parts ?? 1;
      const fitting = Math.max(0, Math.floor((due + Math.floor(parts / 2)) / parts));
      const taken = Math.min(places, inHub[hub] ?? 0, fitting);
      flow.got[g]?.set([taken], i);
      inHub[hub] = (inHub[hub] ?? 0) - taken;
      places -= taken;
      due -= taken * parts;
    }
  }
  // What nobody takes stays with whoever offers it, the latest best-before first.
  const late = [...givings.keys()].sort((a, b) => (givings[b]?.days ?? 0) - (givings[a]?.days ?? 0));
  for (const g of late) {
    const hub = givings[g]?.hub ?? 0;
    const back = Math.min(flow.given[g] ?? 0, inHub[hub] ?? 0);
    flow.given[g] = (flow.given[g] ?? 0) - back;
    inHub[hub] = (inHub[hub] ?? 0) - back;
  }
  return flow;
}

/** Takes containers back until every household is within its credit. */
function withinCredit(problem: SwapProblem, flow: SwapFlow): void {
  const { households, hubs, givings, gettings, credit } = problem;
  const balance = households.map(() => 0);
  const add = (h: number, parts: number): void => void (balance[h] = (balance[h] ?? 0) + parts);
  givings.forEach(({ household, parts }, g) => add(household, parts * (flow.given[g] ?? 0)));
  gettings.forEach(({ household, hubs: from }, g) =>
    from.forEach((hub, i) => add(household, -(hubs[hub]?.parts ?? 0) * (flow.got[g]?.[i] ?? 0))),
  );
  const takersOf: { getting: number; place: number; taker: number }[][] = hubs.map(() => []);
  gettings.forEach(({ household, hubs: from }, getting) =>
    from.forEach((hub, place) => takersOf[hub]?.push({ getting, place, taker: household })),
  );
  for (;;) {
    const h = balance.findIndex((parts) => parts > credit || -parts > credit);
    if (h < 0) return;
    const isOver = (balance[h] ?? 0) > credit;
    // The pair of giver and taker whose balances come nearest to nil when one container fewer moves between them.
    let best: { giving: number; getting: number; place: number } | undefined;
    let bestValue = -Infinity;
    for (const [giving, { household: giver, hub, parts }] of givings.entries()) {
      if (!(flow.given[giving] ?? 0) || (isOver && giver !== h)) continue;
      const fromGiver = Math.min(balance[giver] ?? 0, credit + parts);
      for (const { getting, place, taker } of takersOf[hub] ?? []) {
        if (!(flow.got[getting]?.[place] ?? 0) || (!isOver && taker !== h)) continue;
        const value = fromGiver - Math.max(balance[taker] ?? 0, -credit - parts) - parts;
        if (value > bestValue) [best, bestValue] = [{ giving, getting, place }, value];
      }
    }
    if (!best) return;
    const { giving, getting, place } = best;
    flow.given[giving] = (flow.given[giving] ?? 0) - 1;
    flow.got[getting]?.set([(flow.got[getting]?.[place] ?? 0) - 1], place);
    add(givings[giving]?.household ?? 0, -(givings[giving]?.parts ?? 0));
    add(gettings[getting]?.household ?? 0, givings[giving]?.parts ?? 0);
  }
}

const mostRounds = 3000;

/**
 * A good matching of containers of different sizes, and the parts that no matching moves more than. Method: the best matching if containers could be opened
 * (matchOpened), whole containers near it, what goes beyond a credit taken back, then exchanges along rings until none makes it better (Exchange).
 */
export function matchUnevenSizes(problem: SwapProblem): { flow: SwapFlow; mostParts: number } {
  const opened = matchOpened(problem, largestOfDish(problem));
  const flow = closed(problem, opened);
  withinCredit(problem, flow);
  new Exchange(problem, flow).run(mostRounds);
  return { flow, mostParts: opened.parts };
}
