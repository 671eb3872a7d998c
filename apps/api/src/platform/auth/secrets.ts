import { createHash, createHmac, randomBytes } from 'node:crypto';

/** A secret of 256 random bits for a cookie or a link; only its hash is kept. */
export function newSecret(): string {
  return randomBytes(32).toString('base64url');
}

/** What is kept of a secret. A plain hash will do, since there is nothing to guess in 256 random bits. */
export function hashSecret(secret: string): Uint8Array<ArrayBuffer> {
  return new Uint8Array(createHash('sha256').update(secret).digest());
}

/** A secret that only who has the first one can make again, and that tells nothing of it (HMAC, RFC 2104). */
export function deriveSecret(secret: string, purpose: string): string {
  return createHmac('sha256', secret).update(purpose).digest('base64url');
}
