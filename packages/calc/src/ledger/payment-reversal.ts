import { DomainError } from '../domain-error.ts';
import type { BookedEntry } from './balances.ts';

/**
 * The households between which a payment went, for whoever wants to take it back.
 * Our decision: by hand only payments are reversed, since a receipt, a share-out or a swap is corrected by another of its kind. Throws `conflict` for any other
 * entry, and `already-confirmed` when it was reversed before.
 */
export function payersOfReversible(entry: BookedEntry): string[] {
  if (entry.kind !== 'payment') {
    throw new DomainError(
      'conflict',
      'Only a payment is taken back like this; anything else is corrected where it was entered.',
      {
        params: { kind: entry.kind },
      },
    );
  }
  if (entry.reversedBy !== undefined)
    throw new DomainError('already-confirmed', 'This payment has been taken back before.');
  return entry.postings.flatMap(({ account }) => (account.kind === 'household' ? [account.householdId] : []));
}
