import { v7 } from 'uuid';

/** A new id: UUID version 7 (RFC 9562), so that ids sort by when they were made. */
export function newId(): string {
  return v7();
}

/** Stands for "no cooperative" and "nobody" where a key needs a value. */
export const NIL_ID = '00000000-0000-0000-0000-000000000000';
