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

/** Refuses whoever does not belong to the household, coordinators too: that somebody must not eat a thing is for an adult of the household to set aside. */
export function requireOwnHousehold(actor: Actor, householdId: string): void {
  if (actor.householdId === householdId) return;
  throw new DomainError('forbidden', 'Only the household itself may take what somebody of it must not eat');
}
