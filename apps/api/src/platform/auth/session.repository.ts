import { Injectable } from '@nestjs/common';
import { role } from '@frostmoot/contract';
import { z } from 'zod';
import { Database } from '../db/prisma.ts';
import type { Actor, SignedIn } from './actor.ts';
import { hashSecret, newSecret } from './secrets.ts';

/** A session ends 90 days after it began, whatever happens, and after 14 days without use. */
export const SESSION_DAYS = 90;

const identified = z.object({
  person_id: z.string(),
  email: z.string(),
  display_name: z.string(),
  seen_long_ago: z.boolean(),
  household_id: z.string().nullable(),
  roles: z.array(role).nullable(),
});

/** Who asks, and as what in the cooperative that they ask about; null when they are no member of it. */
export interface Identity {
  person: SignedIn;
  actor: Actor | null;
}

/** Sessions and what they open. Person and session are global tables. */
@Injectable()
export class SessionRepository {
  constructor(private readonly database: Database) {}

  /** Begins a session; gives the secret for the cookie, which is kept nowhere. */
  async begin(personId: string): Promise<string> {
    const secret = newSecret();
    await this.database.client.$executeRaw`
      INSERT INTO session (token_hash, person_id, created_at, last_seen_at, expires_at)
      VALUES (${hashSecret(secret)}, ${personId}::uuid, now(), now(), now() + make_interval(days => ${SESSION_DAYS}::int))`;
    return secret;
  }

  /** Null when the session does not hold. */
  async identify(secret: string, cooperativeId: string | null): Promise<Identity | null> {
    const hash = hashSecret(secret);
    const rows = await this.database.client.$queryRaw<unknown[]>`
      SELECT person_id::text, email, display_name, seen_long_ago, household_id::text, roles
      FROM identify(${hash}, ${cooperativeId}::uuid)`;
    if (rows[0] === undefined) return null;
    const row = identified.parse(rows[0]);
    if (row.seen_long_ago) {
      await this.database.client.$executeRaw`UPDATE session SET last_seen_at = now() WHERE token_hash = ${hash}`;
    }
    const person = { personId: row.person_id, email: row.email, displayName: row.display_name };
    const { household_id: householdId, roles } = row;
    if (cooperativeId === null || householdId === null || roles === null) return { person, actor: null };
    const { personId, displayName } = person;
    return { person, actor: { cooperativeId, personId, householdId, roles, displayName } };
  }

  async end(secret: string): Promise<void> {
    await this.database.client.session.deleteMany({ where: { tokenHash: hashSecret(secret) } });
  }

  /** Ends every session of these accounts. */
  async endAllOf(emails: readonly string[]): Promise<void> {
    await this.database.client.session.deleteMany({ where: { person: { email: { in: [...emails] } } } });
  }
}
