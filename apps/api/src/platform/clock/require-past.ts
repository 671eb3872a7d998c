import { DomainError } from '@frostmoot/calc';

/** What has happened has a day that has come: refuses a later one at its field. */
export function requirePast(date: string, today: string, pointer: string): void {
  if (date <= today) return;
  const detail = `Must not be after today (${today}).`;
  throw new DomainError('invalid-input', detail, { errors: [{ pointer, detail, code: 'in-the-future' }] });
}
