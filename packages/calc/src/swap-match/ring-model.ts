import type { IntegerModel } from '../solver/model.ts';
import { modelLimits } from '../solver/model.ts';
import { ModelBuilder } from '../solver/model-builder.ts';
import type { Ring } from './ring-search.ts';
import type { SwapProblem } from './swap-problem.ts';

type Term = readonly [string, number];

/** Names are made of the numbers that the lot from the seed gave, so that neither the order of the input nor anybody's id decides between equally good rings. */
const nameOf = (...parts: (string | number)[]): string => JSON.stringify(parts);

interface Get {
  getting: number;
  place: number;
  hub: number;
  name: string;
}

interface Give {
  giving: number;
  hub: number;
  name: string;
}

/** The steps of rings that begin at one hub: who gets from it, what they give, who gets that, and so on until somebody gives into the first hub. */
interface Anchored {
  gets: Get[][];
  gives: Give[][];
  /** by number of hops: the gifts into the first hub that end a ring */
  closes: Give[][];
}

const householdsOf = (problem: SwapProblem, gets: readonly Get[]): Set<number> =>
  new Set(gets.map(({ getting }) => problem.gettings[getting]?.household ?? 0));

/** Only what can be part of a ring: each step keeps to the households that the step before reaches. */
function anchoredAt(
  problem: SwapProblem,
  anchor: number,
  limit: 2 | 3,
  wantsAt: readonly (readonly Get[])[],
): Anchored {
  const { givings, gettings } = problem;
  const named = (kind: string, hop: number, index: number, hub: number): string =>
    nameOf(kind, anchor, hop, index, hub);
  const getsFrom = (from: ReadonlySet<number>, hop: number): Get[] =>
    [...from].flatMap((hub) =>
      (wantsAt[hub] ?? []).map((get) => ({
        ...get,
        name: named('get', hop, get.getting, hub),
      })),
    );
  const givesOf = (who: ReadonlySet<number>, hop: number, into: (hub: number) => boolean): Give[] =>
    givings.flatMap(({ household, hub }, giving) =>
      who.has(household) && into(hub) ? [{ giving, hub, name: named('give', hop, giving, hub) }] : [],
    );
  const gets = [getsFrom(new Set([anchor]), 1)];
  const gives: Give[][] = [];
  const closes: Give[][] = [[]];
  const closers = new Set(givings.flatMap(({ household, hub }) => (hub === anchor ? [household] : [])));
  const lastHubs = new Set(
    [...closers].flatMap((h) => gettings.flatMap((want) => (want.household === h ? want.hubs : []))),
  );
  for (let hop = 1; hop < limit; hop++) {
    const isLast = hop === limit - 1;
    const who = householdsOf(problem, gets[hop - 1] ?? []);
    const given = givesOf(who, hop, (hub) => hub > anchor && (!isLast || lastHubs.has(hub)));
    gives.push(given);
    const next = getsFrom(new Set(given.map(({ hub }) => hub)), hop + 1).filter(
      ({ getting }) => !isLast || closers.has(gettings[getting]?.household ?? 0),
    );
    gets.push(next);
    closes.push(givesOf(householdsOf(problem, next), hop + 1, (hub) => hub === anchor));
  }
  return { gets, gives, closes };
}

export interface RingModel {
  model: IntegerModel;
  ringsOf: (values: ReadonlyMap<string, number>) => Ring[];
}

const plus = (names: readonly { name: string }[], sign: 1 | -1): Term[] => names.map(({ name }): Term => [name, sign]);

/** What goes into each household or hub of a step goes out again. */
function addConservation(
  builder: ModelBuilder,
  problem: SwapProblem,
  at: number,
  { gets, gives, closes }: Anchored,
): void {
  const { givings, gettings } = problem;
  gets.forEach((got, step) => {
    const out = [...(gives[step] ?? []), ...(closes[step] ?? [])];
    for (const h of householdsOf(problem, got)) {
      const into = got.filter(({ getting }) => gettings[getting]?.household === h);
      const from = out.filter(({ giving }) => givings[giving]?.household === h);
      builder.equals(nameOf('household', at, step, h), [...plus(into, 1), ...plus(from, -1)], 0);
    }
    const given = gives[step] ?? [];
    for (const hub of new Set(given.map((give) => give.hub))) {
      const taken = (gets[step + 1] ?? []).filter((get) => get.hub === hub);
      const put = given.filter((give) => give.hub === hub);
      builder.equals(nameOf('hub', at, step, hub), [...plus(put, 1), ...plus(taken, -1)], 0);
    }
  });
  builder.equals(nameOf('anchor', at), [...plus(gets[0] ?? [], 1), ...plus(closes.flat(), -1)], 0);
}

/** Takes the rings of one anchor out of the values of its steps. */
function ringsAt(problem: SwapProblem, { gets, gives, closes }: Anchored, values: ReadonlyMap<string, number>): Ring[] {
  const left = new Map(values);
  const use = <T extends { name: string }>(choices: readonly T[]): T | undefined => {
    const found = choices.find(({ name }) => (left.get(name) ?? 0) > 0);
    if (found) left.set(found.name, (left.get(found.name) ?? 0) - 1);
    return found;
  };
  const { givings, gettings } = problem;
  const rings: Ring[] = [];
  for (let first = use(gets[0] ?? []); first; first = use(gets[0] ?? [])) {
    const taken = [first];
    const given: Give[] = [];
    for (let step = 0, get: Get | undefined = first; get; step++) {
      const h = gettings[get.getting]?.household;
      const mine = (list: readonly Give[]): Give[] => list.filter(({ giving }) => givings[giving]?.household === h);
      const end = use(mine(closes[step] ?? []));
      const give = end ?? use(mine(gives[step] ?? []));
      if (!give) throw new RangeError('The steps of a ring do not meet.');
      given.push(give);
      get = end ? undefined : use((gets[step + 1] ?? []).filter(({ hub }) => hub === give.hub));
      if (get) taken.push(get);
    }
    // Who gets first does so from whoever gives last.
    rings.push(taken.map(({ getting, place }, i) => ({ giving: given.at(i - 1)?.giving ?? 0, getting, place })));
  }
  return rings;
}

/**
 * Rings of at most two or three households as an integer program without a list of rings: each ring is begun at its lowest hub, and there is a variable for each
 * container given or got at each place of a ring with that beginning (Dickerson, Manlove, Plaut, Sandholm and Trimble, Position-indexed formulations for kidney
 * exchange, ACM EC 2016, here with dishes as hubs between households). Undefined when that is too large for a solver.
 */
export function ringModel(problem: SwapProblem, limit: 2 | 3): RingModel | undefined {
  const { hubs, givings, gettings, households, credit } = problem;
  const builder = new ModelBuilder();
  const wantsAt: Get[][] = hubs.map(() => []);
  gettings.forEach((want, getting) =>
    want.hubs.forEach((hub, place) => wantsAt[hub]?.push({ getting, place, hub, name: '' })),
  );
  const out: Term[][] = givings.map(() => []);
  const into: { name: string; hub: number }[][] = gettings.map(() => []);
  const anchored = hubs.map((_, anchor) => anchoredAt(problem, anchor, limit, wantsAt));
  const size = anchored.reduce((sum, { gets, gives, closes }) => sum + [...gets, ...gives, ...closes].flat().length, 0);
  if (size > modelLimits.variables) return undefined;
  anchored.forEach((steps, anchor) => {
    for (const { giving, name } of [...steps.gives, ...steps.closes].flat()) {
      out[giving]?.push([builder.whole(name, 0, givings[giving]?.containers ?? 0), 1]);
    }
    for (const { getting, name, hub } of steps.gets.flat()) {
      builder.whole(name, 0, gettings[getting]?.containers ?? 0);
      into[getting]?.push({ name, hub });
    }
    addConservation(builder, problem, anchor, steps);
  });
  const balance: Term[][] = households.map(() => []);
  givings.forEach(({ household, containers, parts }, g) => {
    builder.atMost(nameOf('offer', g), out[g] ?? [], containers);
    balance[household]?.push(...(out[g] ?? []).map(([name]): Term => [name, parts]));
  });
  gettings.forEach(({ household, containers }, g) => {
    builder.atMost(nameOf('want', g), plus(into[g] ?? [], 1), containers);
    balance[household]?.push(...(into[g] ?? []).map(({ name, hub }): Term => [name, -(hubs[hub]?.parts ?? 0)]));
  });
  // With one size every ring is balanced by itself.
  if (new Set(hubs.map(({ parts }) => parts)).size > 1)
    balance.forEach((terms, h) => builder.between(nameOf('balance', h), terms, -credit, credit));
  const sumOver = (weight: (g: number) => number): Term[] =>
    out.flatMap((terms, g) => terms.map(([name]): Term => [name, weight(g)]));
  builder.seek(
    'portions',
    'most',
    sumOver((g) => givings[g]?.parts ?? 0),
  );
  builder.seek(
    'days',
    'least',
    sumOver((g) => (givings[g]?.parts ?? 0) * (givings[g]?.days ?? 0)),
  );
  builder.seek(
    'scores',
    'most',
    into.flatMap((gets, g) => gets.map(({ name }): Term => [name, gettings[g]?.score ?? 0])),
  );
  return {
    model: builder.build(),
    ringsOf: (values) => anchored.flatMap((steps) => ringsAt(problem, steps, values)),
  };
}
