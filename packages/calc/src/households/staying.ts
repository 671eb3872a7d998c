import { DomainError } from '../domain-error.ts';

/** A household with the day on which it left, an ISO 8601 local date; null: it is there. */
export interface Staying {
  name: string;
  leftOn: string | null;
}

/**
 * Refuses what is only for households that are there: one that has left keeps what was set aside for it and settles its money, and nothing else (ADR 62).
 * `today`: ISO 8601 local date; `pointer`: the field that names the household. Throws `household-left` with the param household.
 */
export function requireStaying({ name, leftOn }: Staying, today: string, pointer?: string): void {
  if (leftOn !== null && leftOn <= today) throw householdLeft(name, pointer);
}

/** The refusal itself. */
export function householdLeft(name: string, pointer?: string): DomainError {
  const detail = `${name} has left the cooperative.`;
  const errors = pointer === undefined ? [] : [{ pointer, detail }];
  return new DomainError('household-left', detail, { params: { household: name }, errors });
}
