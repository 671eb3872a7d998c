import { DomainError } from '@frostmoot/calc';
import type { RequestFacts } from '../http/request-context.ts';
import type { Tx } from './prisma.ts';
import { enter, type Scope } from './scope.ts';

const KEY = /^[\x21-\x7e]{8,128}$/;

/** The request's key, refused when it is missing or cannot be one. */
export function requireKey(facts: RequestFacts): string {
  if (facts.idempotencyKey === null) {
    throw new DomainError('idempotency-key-missing', 'A write needs the header Idempotency-Key');
  }
  if (!KEY.test(facts.idempotencyKey)) {
    throw new DomainError('invalid-input', 'Idempotency-Key must be 8 to 128 visible ASCII characters');
  }
  return facts.idempotencyKey;
}

/**
 * Does the work once for a key: the answer is kept in the transaction of its effect, as the text that it was, and given again for the same request.
 * The advisory lock lasts as long as the transaction: whoever finds it taken came while the first was still running.
 */
export async function once<T>(tx: Tx, scope: Scope, facts: RequestFacts, work: () => Promise<T>): Promise<T> {
  const key = requireKey(facts);
  const where = { cooperativeId: scope.cooperativeId, personId: scope.personId, key };
  const [lock] = await tx.$queryRaw<[{ taken: boolean }]>`
    SELECT pg_try_advisory_xact_lock(hashtextextended(${`${where.cooperativeId} ${where.personId} ${key}`}, 0)) AS taken`;
  if (!lock.taken) throw new DomainError('idempotency-key-in-use', 'The first request with this key is still running');

  const kept = await tx.idempotencyKey.findUnique({ where: { cooperativeId_personId_key: where } });
  if (kept) {
    if (kept.requestHash !== facts.requestHash) {
      throw new DomainError('idempotency-key-reused', 'This Idempotency-Key was used for another request');
    }
    return JSON.parse(kept.answer as string) as T;
  }

  const answer = JSON.stringify((await work()) ?? null);
  // The work may have entered a cooperative that it made.
  await enter(tx, scope);
  await tx.idempotencyKey.create({ data: { ...where, requestHash: facts.requestHash, answer } });
  return JSON.parse(answer) as T;
}
