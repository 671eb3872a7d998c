import { DomainError } from '@frostmoot/calc';
import type { Role } from '@frostmoot/contract';
import type { Scope } from '../db/scope.ts';

/** Who is signed in. */
export interface SignedIn {
  personId: string;
  email: string;
  displayName: string;
}

/** Who acts in a cooperative, and as what. */
export interface Actor extends Scope {
  householdId: string;
  roles: readonly Role[];
  displayName: string;
}

/** Refuses unless the actor belongs to the household or is a coordinator. */
export function requireHousehold(actor: Actor, householdId: string): void {
  if (actor.householdId === householdId || actor.roles.includes('coordinator')) return;
  throw new DomainError('forbidden', 'Only the household itself or a coordinator may do this');
}
