import { byCodeUnits } from '../canonical.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import type { AccountRef, EntryDraft, Facts, Posting } from './entry.ts';
import { draftEntry, household, positiveAmount } from './entry.ts';
import { snapToMicroPortions } from './micro-portions.ts';

const common: AccountRef = { kind: 'common' };
const total = (amounts: Iterable<bigint>): bigint => [...amounts].reduce((a, b) => a + b, 0n);

/** A confirmed division: what this round made due to each household, and what it received; exact portions. */
export interface SharedOut {
  entitlement: ReadonlyMap<string, Rational>;
  received: ReadonlyMap<string, Rational>;
  seed: string;
  facts?: ReadonlyMap<string, Facts>;
}

/**
 * A share-out was confirmed: each household + what was due and - what it received, in two postings so that a statement can show both;
 * the common account takes the other side, and with it what the snap to micro-portions and unallotted containers leave.
 * `entitlement`, `received`: household to exact portions, the same households; `seed`: that of the share-out. Throws `invalid-input` when
 * the households differ or all is nil.
 */
export function sharedOut({ entitlement, received, seed, facts }: SharedOut): EntryDraft {
  const ids = [...entitlement.keys()].sort(byCodeUnits);
  if (ids.length !== received.size || ids.some((id) => !received.has(id))) {
    throw invalidInput([{ pointer: '#/received', detail: 'Must name the same households as the entitlement.' }]);
  }
  const due = snapToMicroPortions(entitlement, seed);
  const had = snapToMicroPortions(received, seed);
  const postings = ids.flatMap((id): Posting[] => [
    { account: household(id), amount: due.get(id) ?? 0n, facts: { ...facts?.get(id), part: 'due' } },
    { account: household(id), amount: -(had.get(id) ?? 0n), facts: { ...facts?.get(id), part: 'received' } },
  ]);
  const balance = total(had.values()) - total(due.values());
  return draftEntry('portions', 'share-out', [...postings, { account: common, amount: balance }]);
}

const oneSided = (kind: 'claim' | 'release' | 'loss', householdId: string, amount: bigint, facts?: Facts): EntryDraft =>
  draftEntry('portions', kind, [
    { account: household(householdId), amount, facts },
    { account: common, amount: -amount },
  ]);

/** A household took a container from the pool beyond its share-out: it is owed that much less. `micro`: above nil. Throws `invalid-input`. */
export const claimed = (householdId: string, micro: bigint, facts?: Facts): EntryDraft =>
  oneSided('claim', householdId, -positiveAmount(micro, '#/portions'), facts);

/** A household gave a container back to the pool: it is owed that much more. `micro`: above nil. Throws `invalid-input`. */
export const released = (householdId: string, micro: bigint, facts?: Facts): EntryDraft =>
  oneSided('release', householdId, positiveAmount(micro, '#/portions'), facts);

/** A container that a household had received was lost without its doing (a recall, a failed freezer): it is owed that much again. */
export const lost = (householdId: string, micro: bigint, facts?: Facts): EntryDraft =>
  oneSided('loss', householdId, positiveAmount(micro, '#/portions'), facts);

/** One direction of a swap: what a household gave, and to whom. */
export interface SwapPart {
  giver: string;
  receiver: string;
  micro: bigint;
  facts?: Facts;
}

/**
 * A swap was done: each giver is owed what it gave and each receiver that much less, so an uneven swap stays as a balance.
 * `parts`: micro-portions above nil, giver and receiver different. An even swap is booked too, so that both statements show what went where.
 * Throws `invalid-input` for a part to oneself or of nil.
 */
export function swapDone(parts: readonly SwapPart[]): EntryDraft {
  parts.forEach(({ giver, receiver, micro }, index) => {
    positiveAmount(micro, `#/parts/${index}/portions`);
    if (giver === receiver) {
      throw invalidInput([{ pointer: `#/parts/${index}/receiver`, detail: 'Nobody swaps with itself.' }]);
    }
  });
  const postings = parts.flatMap(({ giver, receiver, micro, facts }): Posting[] => [
    { account: household(giver), amount: micro, facts: { ...facts, part: 'gave' } },
    { account: household(receiver), amount: -micro, facts: { ...facts, part: 'got' } },
  ]);
  return draftEntry('portions', 'swap', postings);
}

/** A container is with another household than it was booked for: the one is owed it again and the other that much less. `micro`: above nil. Throws `invalid-input`. */
export function movedByCorrection(from: string, to: string, micro: bigint, facts?: Facts): EntryDraft {
  const amount = positiveAmount(micro, '#/portions');
  return draftEntry('portions', 'adjustment', [
    { account: household(from), amount, facts: { ...facts, part: 'moved-away' } },
    { account: household(to), amount: -amount, facts: { ...facts, part: 'moved-here' } },
  ]);
}

/** Balances brought from books kept elsewhere, or from before the first round. `balances`: household to micro-portions, positive: owed. */
export function portionsOpening(balances: ReadonlyMap<string, bigint>): EntryDraft {
  const postings = [...balances]
    .sort(([a], [b]) => byCodeUnits(a, b))
    .map(([householdId, amount]): Posting => ({ account: household(householdId), amount }));
  return draftEntry('portions', 'opening', [...postings, { account: common, amount: -total(balances.values()) }]);
}
