import type { Of } from '../input.ts';
import {
  date,
  distinctIds,
  id,
  integer,
  invalidInput,
  list,
  mapOf,
  notNegative,
  optional,
  rational,
  readInput,
  record,
  text,
} from '../input.ts';
import type { Rational } from '../rational.ts';
import { rational as fraction, zero } from '../rational.ts';
import { commonDenominator } from '../share-out/scale.ts';

/** Containers that a household would give away; all of an offer are alike. */
export interface SwapOffer {
  id: string;
  household: string;
  dish: string;
  containers: number;
  /** in one container */
  portions: Rational;
  bestBefore: string;
}

/** Containers that a household would like to get, and how much. */
export interface SwapWant {
  id: string;
  household: string;
  dish: string;
  containers: number;
  score: number;
}

export interface SwapMatchInput {
  seed: string;
  offers: readonly SwapOffer[];
  wants: readonly SwapWant[];
  /** dishes that a household may not get */
  excludes: ReadonlyMap<string, ReadonlySet<string>>;
  /** how many portions a household may give more, or fewer, than it gets */
  creditPortions: Rational;
  /** the longest ring of households, when people swap by hand */
  ringLimit?: 2 | 3;
}

const offer = record({
  id: id(),
  household: id(),
  dish: id(),
  containers: integer(0, 1000),
  portions: rational({ moreThan: zero, atMost: fraction(1000n) }),
  bestBefore: date(),
});
const want = record({
  id: id(),
  household: id(),
  dish: id(),
  containers: integer(0, 1000),
  score: optional(integer(-1000, 1000)),
});
const shape = record({
  seed: text(),
  offers: distinctIds(list(offer, { longest: 5000 }), (member) => member.id),
  wants: distinctIds(list(want, { longest: 5000 }), (member) => member.id),
  excludes: optional(mapOf(list(id(), { longest: 1000 }), { longest: 5000 })),
  creditPortions: notNegative(),
  ringLimit: optional(integer(2, 3)),
});

/** Portions are reckoned in parts of this size at the finest, so that every sum stays exact. */
const finestParts = 1000n;

function readLimit(limit: Of<typeof shape>['ringLimit']): 2 | 3 | undefined {
  return limit === 2 || limit === 3 ? limit : undefined;
}

/**
 * Reads the JSON of a matching (`{seed, offers, wants, excludes?, creditPortions, ringLimit?}`). Throws `invalid-input` with every fault: what has the wrong
 * shape, ids given twice, portions that have no common part of at least a thousandth.
 */
export function readSwapMatch(given: unknown): SwapMatchInput {
  const raw = readInput(shape, given);
  if (commonDenominator(raw.offers.map(({ portions }) => portions)) > finestParts) {
    const detail = 'The portions of all offers must have a common part of at least 1/1000.';
    throw invalidInput([{ pointer: '#/offers', detail }]);
  }
  return {
    seed: raw.seed,
    offers: raw.offers,
    wants: raw.wants.map((member) => ({ ...member, score: member.score ?? 0 })),
    excludes: new Map([...(raw.excludes ?? [])].map(([household, dishes]) => [household, new Set(dishes)])),
    creditPortions: raw.creditPortions,
    ringLimit: readLimit(raw.ringLimit),
  };
}
