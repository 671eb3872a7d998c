import { DomainError, type DomainErrorCode } from '@frostmoot/calc';
import { databaseError } from './database-error.ts';

/** Turns a violated constraint into the domain's refusal, by the constraint's name; anything else goes on as it is. */
export async function onUnique<T>(
  work: Promise<T>,
  codes: Readonly<Record<string, DomainErrorCode>>,
  message = 'Something else already has this name or place',
): Promise<T> {
  try {
    return await work;
  } catch (error) {
    const { constraint } = databaseError(error);
    const code = constraint === undefined ? undefined : codes[constraint];
    if (code === undefined) throw error;
    throw new DomainError(code, message);
  }
}
