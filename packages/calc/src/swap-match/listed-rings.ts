import { ModelBuilder } from '../solver/model-builder.ts';
import type { RingModel } from './ring-model.ts';
import type { Hop, Ring } from './ring-search.ts';
import type { SwapProblem } from './swap-problem.ts';

type Term = readonly [string, number];

/** More rings than this are not listed: the program over places in rings is then the smaller one. */
const mostListed = 40_000;

/** With more rings than this a linear program takes so long that the solver's own search is there sooner than branching. */
const mostBranched = 10_000;

/** Containers of a hub that a household could give in all, or get in all, whichever of its offers and wants they are of. */
interface Side {
  household: number;
  hub: number;
  containers: number;
  /** offers, or wants with the place of the hub in their lists */
  members: { index: number; place: number }[];
}

/** One step of a listed ring: a household gives a container of a hub to the next. */
interface Step {
  give: Side;
  get: Side;
}

/** By household, the sides in the order of hubs. */
type Sides = readonly ReadonlyMap<number, Side>[];

function sidesOf(problem: SwapProblem): { gives: Sides; gets: Sides } {
  const gives = problem.households.map(() => new Map<number, Side>());
  const gets = problem.households.map(() => new Map<number, Side>());
  const add = (of: Map<number, Side> | undefined, household: number, hub: number, count: number): Side['members'] => {
    const side = of?.get(hub) ?? { household, hub, containers: 0, members: [] };
    side.containers += count;
    of?.set(hub, side);
    return side.members;
  };
  problem.givings.forEach(({ household, hub, containers }, index) => {
    add(gives[household], household, hub, containers).push({ index, place: -1 });
  });
  problem.gettings.forEach(({ household, hubs, containers }, index) =>
    hubs.forEach((hub, place) => {
      add(gets[household], household, hub, containers).push({ index, place });
    }),
  );
  return { gives, gets };
}

/** Every ring of at most so many households once, from its lowest household on; undefined when there are too many. */
function listRings({ households }: SwapProblem, limit: 2 | 3, gives: Sides, gets: Sides): Step[][] | undefined {
  const takers = new Map<number, Side[]>();
  for (const mine of gets) for (const [hub, side] of mine) takers.set(hub, [...(takers.get(hub) ?? []), side]);
  const givesOf = (h: number): Side[] => [...(gives[h]?.values() ?? [])];
  const rings: Step[][] = [];
  const grow = (first: number, steps: readonly Step[], giver: number): boolean =>
    givesOf(giver).every((give) => {
      const back = steps.length > 0 ? gets[first]?.get(give.hub) : undefined;
      if (back) rings.push([...steps, { give, get: back }]);
      if (rings.length > mostListed) return false;
      if (steps.length === limit - 1) return true;
      return (takers.get(give.hub) ?? []).every(
        (get) =>
          get.household <= first || get.household === giver || grow(first, [...steps, { give, get }], get.household),
      );
    });
  return [...households.keys()].every((h) => grow(h, [], h)) ? rings : undefined;
}

/** Whether a side's limit follows from the only one on the other side of its household, which every ring through it counts against too. */
const isImplied = (side: Side, [other, ...more]: readonly Side[], kind: 'gives' | 'gets'): boolean =>
  other !== undefined &&
  more.length === 0 &&
  (kind === 'gets' ? side.containers >= other.containers : side.containers > other.containers);

/**
 * Rings of at most two or three households as an integer program over a list of all of them, by household and hub; which offers and wants a household means by
 * that is chosen beside it (Abraham, Blum and Sandholm, Clearing algorithms for barter exchange markets, ACM EC 2007; from memory). Undefined when there are too many rings.
 */
export function listedRingModel(problem: SwapProblem, limit: 2 | 3): RingModel | undefined {
  const { households, hubs, givings, gettings, credit } = problem;
  const { gives, gets } = sidesOf(problem);
  const rings = listRings(problem, limit, gives, gets);
  if (!rings) return undefined;
  const builder = new ModelBuilder();
  const inRings = new Map<Side, Term[]>();
  const balance: Term[][] = households.map(() => []);
  const names = rings.map((steps, r) => {
    const most = Math.min(...steps.flatMap(({ give, get }) => [give.containers, get.containers]));
    const name = builder.whole(`ring ${r}`, 0, most);
    steps.forEach(({ give, get }, i) => {
      for (const side of [give, get]) {
        const terms = inRings.get(side) ?? [];
        terms.push([name, 1]);
        inRings.set(side, terms);
      }
      const change = (hubs[give.hub]?.parts ?? 0) - (hubs[steps.at(i - 1)?.give.hub ?? 0]?.parts ?? 0);
      if (change !== 0) balance[give.household]?.push([name, change]);
    });
    return name;
  });
  const nameOfMember = (index: number, place: number): string =>
    place < 0 ? `give ${index}` : `get ${index} ${place}`;
  /** By offer, and by want: what counts the containers out of it or into it. */
  const givenBy: Term[][] = givings.map(() => []);
  const gotBy: Term[][] = gettings.map(() => []);
  households.forEach((_, h) => {
    const used = (of: Sides): Side[] => [...(of[h]?.values() ?? [])].filter((side) => inRings.has(side));
    const sides = { gives: used(gives), gets: used(gets) };
    for (const [kind, other] of [
      ['gives', 'gets'],
      ['gets', 'gives'],
    ] as const) {
      for (const side of sides[kind]) {
        const terms = inRings.get(side) ?? [];
        const counts = kind === 'gives' ? givenBy : gotBy;
        const [only, ...more] = side.members;
        if (only && more.length === 0) {
          counts[only.index]?.push(...terms);
          if (!isImplied(side, sides[other], kind)) builder.atMost(`${kind} ${h} ${side.hub}`, terms, side.containers);
          continue;
        }
        const members = side.members.map(({ index, place }): Term => {
          const most = (kind === 'gives' ? givings : gettings)[index]?.containers ?? 0;
          const name = builder.whole(nameOfMember(index, place), 0, most);
          counts[index]?.push([name, 1]);
          return [name, -1];
        });
        builder.equals(`${kind} ${h} ${side.hub}`, [...terms, ...members], 0);
      }
    }
  });
  gettings.forEach(({ containers, hubs: from }, index) => {
    const terms = gotBy[index] ?? [];
    if (from.length > 1 && terms.length > 1) builder.atMost(`want ${index}`, terms, containers);
  });
  balance.forEach((terms, h) => {
    if (terms.length > 0) builder.between(`balance ${h}`, terms, -credit, credit);
  });
  const weighted = (counts: readonly Term[][], weight: (index: number) => number): Term[] =>
    counts.flatMap((terms, index) => terms.map(([name]): Term => [name, weight(index)]));
  const partsOf = (index: number): number => givings[index]?.parts ?? 0;
  builder.seek('portions', 'most', weighted(givenBy, partsOf));
  builder.seek(
    'days',
    'least',
    weighted(givenBy, (index) => partsOf(index) * (givings[index]?.days ?? 0)),
  );
  builder.seek(
    'scores',
    'most',
    weighted(gotBy, (index) => gettings[index]?.score ?? 0),
  );
  const ringsOf = (values: ReadonlyMap<string, number>): Ring[] => {
    const left = new Map(values);
    const take = ({ members }: Side): { index: number; place: number } => {
      const [only, ...more] = members;
      if (only && more.length === 0) return only;
      const found = members.find(({ index, place }) => (left.get(nameOfMember(index, place)) ?? 0) > 0);
      if (!found) throw new RangeError('A ring has a step that nobody takes.');
      const name = nameOfMember(found.index, found.place);
      left.set(name, (left.get(name) ?? 0) - 1);
      return found;
    };
    return rings.flatMap((steps, r) =>
      Array.from({ length: values.get(names[r] ?? '') ?? 0 }, () =>
        steps.map(({ give, get }): Hop => {
          const got = take(get);
          return { giving: take(give).index, getting: got.index, place: got.place };
        }),
      ),
    );
  };
  const model = builder.build();
  return { model: rings.length > mostBranched ? model : { ...model, before: 'branching' }, ringsOf };
}
