import { byCodeUnits } from '../canonical.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { div, format, isZero, mul, rational, sum, zero } from '../rational.ts';
import type { AccountRef, EntryDraft, Facts, Posting } from './entry.ts';
import { draftEntry, household } from './entry.ts';
import { fromMicroPortions, microPerPortion, snapToMicroPortions } from './micro-portions.ts';

/** Micro-turns in one turn: counted like portions, so that a turn that is due by weight sums exactly. */
export const microPerTurn = microPerPortion;

/** Micro-turns as exact turns. */
export const fromMicroTurns = (micro: bigint): Rational => fromMicroPortions(micro);

const common: AccountRef = { kind: 'common' };

/** Turns that were published together. */
export interface PublishedTurns {
  weights: ReadonlyMap<string, Rational>;
  /** so many new turns, whether or not somebody has them yet */
  due: number;
  /** household to turns that it got, below nil: that it was let off */
  given: ReadonlyMap<string, number>;
  /** any text, for equal remainders */
  seed: string;
}

/**
 * A rota was published: each household + what is due by weight and - what it got; the common account takes turns that nobody has yet.
 * Method: exact shares in whole micro-turns by largestRemainder, so that they sum to the turns. With weights of nil nothing is due by weight and the common
 * account takes all. Throws `invalid-input` when there is nothing to book.
 */
export function rotaPublished({ weights, due, given, seed }: PublishedTurns): EntryDraft {
  const all = sum(weights.values());
  const turns = rational(BigInt(due));
  const exact = [...weights].map(([id, weight]): [string, Rational] => [
    id,
    isZero(all) ? zero : div(mul(turns, weight), all),
  ]);
  const shares = snapToMicroPortions(new Map(exact), seed);
  const ids = [...new Set([...weights.keys(), ...given.keys()])].sort(byCodeUnits);
  const postings = ids.flatMap((id): Posting[] => [
    {
      account: household(id),
      amount: shares.get(id) ?? 0n,
      facts: { part: 'due', turns: due, weight: format(weights.get(id) ?? zero), totalWeight: format(all) },
    },
    {
      account: household(id),
      amount: BigInt(-(given.get(id) ?? 0)) * microPerTurn,
      facts: { part: 'given', turns: given.get(id) ?? 0 },
    },
  ]);
  const rest = -postings.reduce((total, { amount }) => total + amount, 0n);
  return draftEntry('turns', 'rota-published', [...postings, { account: common, amount: rest }]);
}

/**
 * The week of turns that nobody had is over: they are due of nobody any more, so each household is let off its part by weight, and the common account is short
 * of them no longer. Method as for `rotaPublished`. Throws `invalid-input` when there is nothing to book.
 */
export function turnsNotDone(
  { weights, turns, seed }: { weights: ReadonlyMap<string, Rational>; turns: number; seed: string },
  facts?: Facts,
): EntryDraft {
  const { postings } = rotaPublished({ weights, due: turns, given: new Map(), seed });
  const back = postings.map(({ amount, ...posting }): Posting => {
    const also = posting.facts ? { facts: { ...facts, ...posting.facts } } : {};
    return { ...posting, ...also, amount: -amount };
  });
  return draftEntry('turns', 'turns-not-done', back);
}

/** A household cannot cook its turn: it has one to cook again, and nobody has this one until somebody takes it. */
export const turnReleased = (from: string, facts?: Facts): EntryDraft =>
  draftEntry('turns', 'illness', [
    { account: household(from), amount: microPerTurn, facts: { ...facts, part: 'gave-up' } },
    { account: common, amount: -microPerTurn },
  ]);

/** Another household takes a turn over, or one that nobody has (`from` null). Throws `invalid-input` for one's own. */
export function turnCovered(from: string | null, to: string, facts?: Facts): EntryDraft {
  if (from === to) throw invalidInput([{ pointer: '#/householdId', detail: 'It has this turn already.' }]);
  const gone: Posting =
    from === null
      ? { account: common, amount: microPerTurn }
      : { account: household(from), amount: microPerTurn, facts: { ...facts, part: 'gave-up' } };
  return draftEntry('turns', 'cover', [
    gone,
    { account: household(to), amount: -microPerTurn, facts: { ...facts, part: 'took' } },
  ]);
}

/** Two households swapped turns, one for one: no balance moves, and both statements show it. */
export function turnsSwapped(
  first: { from: string; facts: Facts },
  second: { from: string; facts: Facts },
): EntryDraft {
  if (first.from === second.from)
    throw invalidInput([{ pointer: '#/toHouseholdId', detail: 'Nobody swaps with itself.' }]);
  const sides = [
    { giver: first.from, taker: second.from, facts: first.facts },
    { giver: second.from, taker: first.from, facts: second.facts },
  ];
  const postings = sides.flatMap(({ giver, taker, facts }): Posting[] => [
    { account: household(giver), amount: microPerTurn, facts: { ...facts, part: 'gave-up' } },
    { account: household(taker), amount: -microPerTurn, facts: { ...facts, part: 'took' } },
  ]);
  return draftEntry('turns', 'turn-swapped', postings);
}
