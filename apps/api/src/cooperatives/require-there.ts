import { DomainError, requireStaying } from '@frostmoot/calc';
import { fromDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/**
 * Refuses a household that there is not (`not-found`) or that has left (`household-left`), for an act of the day `today`. It is held still until the
 * transaction ends, so that it does not leave meanwhile; so this comes before any lock of accounts, as leaving has it.
 */
export async function requireThere(
  tx: Tx,
  { cooperativeId }: Pick<Scope, 'cooperativeId'>,
  householdId: string,
  today: string,
): Promise<void> {
  const [household] = await tx.$queryRaw<{ name: string; left_on: Date | null }[]>`
    SELECT name, left_on FROM household WHERE cooperative_id = ${cooperativeId}::uuid AND id = ${householdId}::uuid FOR SHARE`;
  if (!household) throw new DomainError('not-found', 'There is no such household');
  requireStaying({ name: household.name, leftOn: household.left_on && fromDate(household.left_on) }, today);
}
