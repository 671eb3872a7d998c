import { canonicalJson, sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import {
  abs,
  add,
  cmp,
  div,
  eq,
  floor,
  format,
  isZero,
  max,
  mul,
  rational,
  sign,
  sub,
  sum,
  zero,
} from '../rational.ts';
import type { ShareHousehold, ShareLot, ShareOutInput } from './share-out-input.ts';
import { readShareOut } from './share-out-input.ts';
import type { ShareOutOutput } from './share-out.ts';
import { fullestFreezer } from './verify-freezer.ts';
import { filling, isLeximin } from './verify-fluid.ts';
import { claimedNumber } from './verify-number.ts';
import { stagesNotShown } from './verify-shown.ts';

/** One thing that a share-out gets wrong: what, and whose or of which lot. */
export interface Violation {
  code:
    | 'unknown-household'
    | 'unknown-lot'
    | 'not-a-count'
    | 'lot-does-not-add-up'
    | 'excluded-food'
    | 'held-moved'
    | 'freezer-too-full'
    | 'left-unallotted'
    | 'entitlement-wrong'
    | 'short-wrong'
    | 'target-wrong'
    | 'received-wrong'
    | 'owed-wrong'
    | 'too-far-from-target'
    | 'objective-wrong'
    | 'not-shown';
  household?: string;
  lot?: string;
  stage?: string;
}

type Report = (code: Violation['code'], where?: { household?: string; lot?: string; stage?: string }) => void;

const worthOf = ({ portions, counts }: ShareLot): Rational => mul(portions, counts);
const times = (count: number, value: Rational): Rational => mul(rational(BigInt(count)), value);

/** A record's own member: an id may be a word that every object inherits. */
const own = <T>(members: Readonly<Record<string, T>>, key: string): T | undefined =>
  Object.hasOwn(members, key) ? members[key] : undefined;

/** The output's numbers, found by name and never trusted to be there. */
class Claimed {
  readonly output: ShareOutOutput;
  constructor(output: ShareOutOutput) {
    this.output = output;
  }

  count(household: string, lot: string): number {
    return own(own(this.output.containers, household) ?? {}, lot) ?? 0;
  }

  number(part: 'entitlement' | 'target' | 'received' | 'owedAfter' | 'short', household: string): Rational | undefined {
    return claimedNumber(own(this.output[part], household));
  }
}

function checkNames(
  { output }: Claimed,
  households: ReadonlySet<string>,
  lots: ReadonlySet<string>,
  report: Report,
): void {
  const checkCounts = (counts: Readonly<Record<string, number>>, household?: string): void => {
    for (const [lot, count] of Object.entries(counts)) {
      if (!lots.has(lot)) report('unknown-lot', { household, lot });
      if (!Number.isSafeInteger(count) || count < 0) report('not-a-count', { household, lot });
    }
  };
  for (const [household, counts] of Object.entries(output.containers)) {
    if (!households.has(household)) report('unknown-household', { household });
    checkCounts(counts, household);
  }
  checkCounts(output.unallotted);
}

function checkContainers(input: ShareOutInput, claimed: Claimed, report: Report): void {
  const room = new Map<string, number>();
  for (const household of input.households) {
    const { id, freezerMl } = household;
    if (freezerMl === undefined) continue;
    const ml = (count: (lot: ShareLot) => number): number =>
      input.lots.reduce((total, lot) => total + count(lot) * (lot.containerMl ?? 0), 0);
    const used = ml((lot) => claimed.count(id, lot.id));
    if (
      used >
      Math.max(
        freezerMl,
        ml((lot) => household.holds.get(lot.id) ?? 0),
      )
    )
      report('freezer-too-full', { household: id });
    room.set(id, freezerMl - used);
  }
  for (const lot of input.lots) {
    const spare = own(claimed.output.unallotted, lot.id) ?? 0;
    const given = input.households.reduce((total, { id }) => total + claimed.count(id, lot.id), 0);
    if (given + spare !== lot.containers) report('lot-does-not-add-up', { lot: lot.id });
    for (const { id, excludes, holds } of input.households) {
      const held = holds.get(lot.id) ?? 0;
      const count = claimed.count(id, lot.id);
      if (count < held) report('held-moved', { household: id, lot: lot.id });
      if (count > held && excludes.has(lot.dish)) report('excluded-food', { household: id, lot: lot.id });
      const fits = (room.get(id) ?? Infinity) >= (lot.containerMl ?? 0);
      if (spare > 0 && fits && !excludes.has(lot.dish)) report('left-unallotted', { household: id, lot: lot.id });
    }
  }
}

interface Supply {
  dishes: string[];
  all: Rational[];
  free: Rational[];
  eats: boolean[][];
  /** the most that each household's freezer can store, undefined without a limit */
  limits: (Rational | undefined)[];
}

function supplyOf({ households, lots }: ShareOutInput): Supply {
  const dishes = [...new Set(lots.map(({ dish }) => dish))];
  const amount = (dish: string, count: (lot: ShareLot) => number): Rational =>
    sum(lots.filter((lot) => lot.dish === dish).map((lot) => times(count(lot), worthOf(lot))));
  const heldOf = (lot: ShareLot): number =>
    households.reduce((total, { holds }) => total + (holds.get(lot.id) ?? 0), 0);
  return {
    dishes,
    all: dishes.map((dish) => amount(dish, ({ containers }) => containers)),
    free: dishes.map((dish) => amount(dish, (lot) => lot.containers - heldOf(lot))),
    eats: households.map(({ excludes }) => dishes.map((dish) => !excludes.has(dish))),
    limits: households.map((household) =>
      fullestFreezer(
        household,
        lots.map((lot) => ({ lot, worth: worthOf(lot), free: lot.containers - heldOf(lot) })),
      ),
    ),
  };
}

function checkPortions(
  { households, lots }: ShareOutInput,
  claimed: Claimed,
  { all, eats, limits }: Supply,
  report: Report,
): void {
  const entitlement = households.map(({ id }) => claimed.number('entitlement', id) ?? rational(-1n));
  const weights = households.map(({ weight }) => weight);
  const eatable = all.map((amount, d) => (eats.some((row) => row[d]) ? amount : zero));
  if (!isLeximin(entitlement, weights, eatable, eats, limits)) report('entitlement-wrong');
  const allWeights = sum(weights);
  households.forEach((household, h) => {
    const { id } = household;
    const same = (part: Parameters<Claimed['number']>[0], expected: Rational): boolean => {
      const found = claimed.number(part, id);
      return found !== undefined && eq(found, expected);
    };
    const due = entitlement[h] ?? zero;
    const target = add(due, household.owed);
    const received = sum(lots.map((lot) => times(claimed.count(id, lot.id), worthOf(lot))));
    const part = isZero(allWeights) ? zero : div(mul(sum(eatable), household.weight), allWeights);
    const short = max(zero, sub(part, due));
    if (isZero(short) ? claimed.number('short', id) !== undefined : !same('short', short))
      report('short-wrong', { household: id });
    if (!same('target', target)) report('target-wrong', { household: id });
    if (!same('received', received)) report('received-wrong', { household: id });
    if (!same('owedAfter', sub(target, received)) && !isSnapped(claimed, id, sub(target, received))) {
      report('owed-wrong', { household: id });
    }
  });
}

/** Whether an owed amount is the exact one kept in millionths of a millionth, as it may be when fractions have grown long. */
function isSnapped(claimed: Claimed, household: string, exact: Rational): boolean {
  const kept = claimed.number('owedAfter', household);
  return kept !== undefined && 10n ** 12n % kept.d === 0n && cmp(abs(sub(kept, exact)), rational(1n, 10n ** 12n)) < 0;
}

const deviationOf = (household: ShareHousehold, claimed: Claimed): Rational =>
  sub(claimed.number('received', household.id) ?? zero, claimed.number('target', household.id) ?? zero);

/** The guarantee: when a fluid could meet every target, nobody is a whole largest container away from it. */
function checkBound(input: ShareOutInput, claimed: Claimed, { free, eats }: Supply, report: Report): void {
  // Freezer space is kept before the bound, see fitFreezers.
  if (input.households.some(({ freezerMl }) => freezerMl !== undefined)) return;
  const open = input.households.map((household) => {
    const held = sum(input.lots.map((lot) => times(household.holds.get(lot.id) ?? 0, worthOf(lot))));
    return sub(claimed.number('target', household.id) ?? zero, held);
  });
  const eatable = free.map((amount, d) => (eats.some((row) => row[d]) ? amount : zero));
  if (!eq(sum(open), sum(eatable)) || !filling(open, eatable, eats)) return;
  const largest = input.lots
    .filter(({ containers }) => containers > 0)
    .map(worthOf)
    .reduce(max, zero);
  // The window of variety stays below the largest container too.
  for (const household of input.households) {
    const deviation = deviationOf(household, claimed);
    if (!isZero(deviation) && cmp(abs(deviation), largest) >= 0)
      report('too-far-from-target', { household: household.id });
  }
}

function checkObjective(input: ShareOutInput, claimed: Claimed, { dishes, eats }: Supply, report: Report): void {
  const found = { unallotted: 0, squaredDeviation: zero, refused: 0, outsideFairShare: 0, score: 0 };
  for (const count of Object.values(claimed.output.unallotted)) found.unallotted += count;
  const wanted = input.households.map(({ id }) => max(zero, claimed.number('target', id) ?? zero));
  input.households.forEach((household, h) => {
    const deviation = deviationOf(household, claimed);
    found.squaredDeviation = add(found.squaredDeviation, mul(deviation, deviation));
    dishes.forEach((dish, d) => {
      const lots = input.lots.filter((lot) => lot.dish === dish);
      const count = lots.reduce((total, lot) => total + claimed.count(household.id, lot.id), 0);
      const all = lots.reduce((total, { containers }) => total + containers, 0);
      const among = sum(wanted.filter((_, other) => eats[other]?.[d]));
      const part = eats[h]?.[d] && sign(among) > 0 ? div(times(all, wanted[h] ?? zero), among) : zero;
      const least = Number(floor(part));
      const most = Number(-floor(sub(zero, part)));
      found.outsideFairShare += Math.max(0, least - count, count - most);
      found.refused += household.refuses.has(dish) ? count : 0;
      found.score += count * (household.scores.get(dish) ?? 0);
    });
  });
  const expected = sortedRecord(Object.entries({ ...found, squaredDeviation: format(found.squaredDeviation) }));
  if (canonicalJson(expected) !== canonicalJson(claimed.output.objective)) report('objective-wrong');
}

/**
 * Checks a share-out from its input and output alone, by definitions instead of by dividing again: it shares no code with shareContainers but the
 * reading of the input and the arithmetic of fractions.
 * Checks: every container is somewhere once, nobody gets what it excludes, held containers stay, freezers hold, nothing is left that somebody may
 * take; the entitlements are the weighted leximin division (isLeximin); target, received, owedAfter, short and objective are what they are
 * defined to be; the bound of less than one largest container holds where the targets can be met; what is said to be `shown` to be best is so, by a
 * mark that needs no search (stagesNotShown). What was `searched` rests on the search: nothing short of another search can check it. `input`, `output`: as JSON. Gives every
 * violation, an empty list when there is none. Throws `invalid-input` when the input cannot be read.
 */
export function verifyShareOut(input: unknown, output: ShareOutOutput): Violation[] {
  const problem = readShareOut(input);
  const claimed = new Claimed(output);
  const violations: Violation[] = [];
  const report: Report = (code, where = {}) => void violations.push({ code, ...where });
  const supply = supplyOf(problem);
  checkNames(
    claimed,
    new Set(problem.households.map(({ id }) => id)),
    new Set(problem.lots.map(({ id }) => id)),
    report,
  );
  // With counts that are none, nothing below can be computed.
  if (violations.some(({ code }) => code === 'not-a-count')) return violations;
  checkContainers(problem, claimed, report);
  checkPortions(problem, claimed, supply, report);
  checkBound(problem, claimed, supply, report);
  checkObjective(problem, claimed, supply, report);
  for (const stage of stagesNotShown(problem, claimed.output)) report('not-shown', { stage });
  return violations;
}
