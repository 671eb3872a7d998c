import type { Tx } from './prisma.ts';

/** Whose data a transaction sees, and who acts. An actor is a scope. */
export interface Scope {
  cooperativeId: string;
  personId: string;
}

/** Tells row-level security whose transaction this is, for this transaction alone, so that a pooled connection keeps nothing of it. */
export async function enter(tx: Tx, scope: Scope): Promise<void> {
  await tx.$executeRaw`SELECT set_config('app.cooperative_id', ${scope.cooperativeId}, true), set_config('app.person_id', ${scope.personId}, true)`;
}
