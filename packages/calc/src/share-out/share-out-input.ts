import type { InputFault } from '../domain-error.ts';
import type { Of } from '../input.ts';
import {
  distinctIds,
  id,
  integer,
  invalidInput,
  list,
  mapOf,
  notNegative,
  optional,
  positive,
  rational,
  readInput,
  record,
  text,
} from '../input.ts';
import type { Rational } from '../rational.ts';

/** A household in a share-out: its headcount weight, what earlier rounds left owed, and what it may, would rather not and would like to eat. */
export interface ShareHousehold {
  id: string;
  weight: Rational;
  owed: Rational;
  excludes: ReadonlySet<string>;
  refuses: ReadonlySet<string>;
  scores: ReadonlyMap<string, number>;
  freezerMl?: number;
  holds: ReadonlyMap<string, number>;
}

/** Containers of one batch that are alike; `counts` says how much one portion of it counts. */
export interface ShareLot {
  id: string;
  dish: string;
  containers: number;
  portions: Rational;
  counts: Rational;
  containerMl?: number;
}

export interface ShareOutInput {
  seed: string;
  households: readonly ShareHousehold[];
  lots: readonly ShareLot[];
  /** How far, in portions, variety may move a household from its nearest deviation; nil if left out. */
  varietyWindow: Rational;
}

const dishes = optional(list(id(), { longest: 1000 }));
const household = record({
  id: id(),
  weight: notNegative(),
  owed: optional(rational()),
  excludes: dishes,
  refuses: dishes,
  scores: optional(mapOf(integer(-1000, 1000), { longest: 1000 })),
  freezerMl: optional(integer(0, 1_000_000_000)),
  holds: optional(mapOf(integer(0, 100_000), { longest: 400 })),
});
const lot = record({
  id: id(),
  dish: id(),
  containers: integer(0, 100_000),
  portions: positive(),
  counts: optional(notNegative()),
  containerMl: optional(integer(1, 1_000_000)),
});
const shape = record({
  seed: text(),
  households: distinctIds(list(household, { longest: 200 }), (member) => member.id),
  lots: distinctIds(list(lot, { longest: 400 }), (member) => member.id),
  varietyWindow: optional(notNegative()),
});

const nil: Rational = { n: 0n, d: 1n };
const one: Rational = { n: 1n, d: 1n };

type Raw = Of<typeof shape>;

function faultsOf(raw: Raw): InputFault[] {
  const faults: InputFault[] = [];
  const left = new Map(raw.lots.map(({ id: lotId, containers }) => [lotId, containers]));
  raw.households.forEach((member, index) => {
    for (const [lotId, count] of member.holds ?? []) {
      const pointer = `#/households/${index}/holds/${lotId.replaceAll('~', '~0').replaceAll('/', '~1')}`;
      const before = left.get(lotId);
      if (before === undefined) faults.push({ pointer, detail: 'There is no such lot.' });
      else if (before < count) faults.push({ pointer, detail: 'More containers are held than the lot has.' });
      else left.set(lotId, before - count);
    }
  });
  const asksForRoom = raw.households.some(({ freezerMl }) => freezerMl !== undefined);
  raw.lots.forEach(({ containerMl }, index) => {
    if (asksForRoom && containerMl === undefined) {
      const detail = 'Must be given where a household has a freezerMl.';
      faults.push({ pointer: `#/lots/${index}/containerMl`, detail });
    }
  });
  return faults;
}

/**
 * Reads the JSON of a share-out (`{seed, households, lots, varietyWindow?}`). A dish that a household names and no lot has is no fault: it is
 * simply not there this time. Throws `invalid-input` with every fault: what has the wrong shape, ids given twice, more containers held
 * than a lot has, freezer space asked for without the size of the containers.
 */
export function readShareOut(given: unknown): ShareOutInput {
  const raw = readInput(shape, given);
  const faults = faultsOf(raw);
  if (faults.length > 0) throw invalidInput(faults.slice(0, 100));
  return {
    seed: raw.seed,
    households: raw.households.map((member) => ({
      id: member.id,
      weight: member.weight,
      owed: member.owed ?? nil,
      excludes: new Set(member.excludes),
      refuses: new Set(member.refuses),
      scores: member.scores ?? new Map(),
      freezerMl: member.freezerMl,
      holds: new Map([...(member.holds ?? [])].filter(([, count]) => count > 0)),
    })),
    lots: raw.lots.map((member) => ({ ...member, counts: member.counts ?? one })),
    varietyWindow: raw.varietyWindow ?? nil,
  };
}
