import type { Topic } from '@frostmoot/contract';
import type { Tx } from '../db/prisma.ts';
import type { Scope } from '../db/scope.ts';

/** Writes what changed into the outbox, in the transaction that changes it; the live stream tells it once that has committed. */
export async function tell(tx: Tx, scope: Scope, topic: Topic, subjectId?: string): Promise<void> {
  await tx.$executeRaw`
    INSERT INTO outbox (cooperative_id, topic, subject_id) VALUES (${scope.cooperativeId}::uuid, ${topic}, ${subjectId ?? null}::uuid)`;
}
