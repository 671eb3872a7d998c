import { DomainError } from '../domain-error.ts';
import type { InputFault } from '../domain-error.ts';
import { invalidInput } from '../input.ts';

/** Who stands where at the door: all that decides whether somebody may tick what leaves. */
export interface AtTheDoor {
  householdId: string;
  isCoordinator: boolean;
  /** households in whose kitchen the round was cooked */
  kitchens: readonly string[];
}

/** One household's collection. */
export interface Collecting {
  householdId: string;
  delegateId: string | null;
}

/**
 * Whether somebody may say that a household's containers were handed over.
 * Our decision, ADR 64: a coordinator, the household whose kitchen it is, the household itself, and the one that it sends.
 */
export const mayHandOver = (
  { householdId, isCoordinator, kitchens }: AtTheDoor,
  { householdId: owner, delegateId }: Collecting,
): boolean => isCoordinator || kitchens.includes(householdId) || householdId === owner || householdId === delegateId;

/** Refuses to hand a household's containers to anybody but itself and the one that it sends. Throws `forbidden`. */
export function requireTaker(to: string, { householdId, delegateId }: Collecting): void {
  if (to === householdId || to === delegateId) return;
  throw new DomainError('forbidden', 'This household has not said that the other one takes its containers along');
}

/** Instants in milliseconds. */
export interface Slot {
  startsAt: number;
  endsAt: number;
}

/** Checks the times of a collection as typed: each ends after it begins, and none begins after the deadline. Throws `invalid-input`. */
export function checkSlots(slots: readonly Slot[], collectBy: number): void {
  const faults = slots.flatMap(({ startsAt, endsAt }, index): InputFault[] => {
    if (endsAt <= startsAt) return [{ pointer: `#/slots/${index}/endsAt`, detail: 'Must be after its beginning.' }];
    if (startsAt > collectBy) {
      return [{ pointer: `#/slots/${index}/startsAt`, detail: 'Must not begin after the last moment to collect.' }];
    }
    return [];
  });
  if (faults.length > 0) throw invalidInput(faults);
}

/**
 * Refuses to take a household's containers back into the pool while it may still collect them.
 * Our decision, ADR 64: only after the deadline, and only where the coordinator had said beforehand that this is what becomes of them. Throws `conflict`.
 */
export function requireReleasable(
  { collectBy, afterDeadline }: { collectBy: number; afterDeadline: 'keep' | 'release' },
  now: number,
): void {
  if (now <= collectBy) {
    throw new DomainError('conflict', 'The last moment to collect has not passed yet', { params: { why: 'deadline' } });
  }
  if (afterDeadline === 'release') return;
  throw new DomainError('conflict', 'It was said that what is not collected is kept for its household', {
    params: { why: 'kept' },
  });
}
