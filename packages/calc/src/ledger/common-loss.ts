import type { EntryDraft, Facts } from './entry.ts';
import { draftEntry, positiveAmount } from './entry.ts';

/**
 * A container that nobody had taken is gone (lost, thrown away, eaten together): the common account gives it up as unallotted and bears it as lost.
 * Its balance stays, and with it what the households are still owed; the two postings are there to be read. `micro`: above nil. Throws `invalid-input`.
 */
export function lostFromCommon(micro: bigint, facts?: Facts): EntryDraft {
  const amount = positiveAmount(micro, '#/portions');
  return draftEntry('portions', 'loss', [
    { account: { kind: 'common' }, amount, facts: { ...facts, part: 'unallotted' } },
    { account: { kind: 'common' }, amount: -amount, facts: { ...facts, part: 'lost' } },
  ]);
}
