import { allocateByWeight } from '../allocation/largest-remainder.ts';
import type { EntryDraft, Facts, Posting } from '../ledger/entry.ts';
import { draftEntry, household } from '../ledger/entry.ts';
import { isZero, parse } from '../rational.ts';

/** Whose headcount counts. */
export interface Bearing {
  id: string;
  /** rational text */
  weight: string;
}

/**
 * Each household's part of what lies with the common account when a round is shared out: containers in the pool, or lost from it, which everybody is
 * still owed together (negative), or what has been claimed of the pool since (positive).
 * Method: by headcount weight in whole micro-portions that sum to the balance, largest remainders by lot. Our decision, ADR 53: without it the targets
 * of a round add up to more or less than there is to share. `commonMicro`: balance of the common account; a household of weight nil bears nothing.
 */
export function borneByHeadcount(
  seed: string,
  households: readonly Bearing[],
  commonMicro: bigint,
): Map<string, bigint> {
  const weights = new Map(households.map(({ id, weight }) => [id, parse(weight)]));
  if (commonMicro === 0n || [...weights.values()].every(isZero)) return new Map();
  return allocateByWeight(commonMicro, weights, `common ${seed}`);
}

/**
 * The entry that brings the common account to nil by the parts of borneByHeadcount; undefined where there is nothing to bear.
 * `facts`: the same beside every figure. The postings sum to nil.
 */
export function commonBorne(parts: ReadonlyMap<string, bigint>, facts: Facts): EntryDraft | undefined {
  const total = [...parts.values()].reduce((a, b) => a + b, 0n);
  if (total === 0n) return undefined;
  const postings = [...parts].map(([id, amount]): Posting => ({
    account: household(id),
    amount,
    facts: { ...facts, part: 'common' },
  }));
  return draftEntry('portions', 'adjustment', [...postings, { account: { kind: 'common' }, amount: -total }]);
}
