import { Injectable } from '@nestjs/common';
import type { Role } from '@frostmoot/contract';
import { z } from 'zod';
import { Database, type Tx } from '../db/prisma.ts';
import { NIL_ID } from '../db/ids.ts';
import { enter } from '../db/scope.ts';
import type { Actor, SignedIn } from './actor.ts';
import { hashSecret, newSecret } from './secrets.ts';

/** A session ends 90 days after it began, whatever happens, and after 14 days without use. */
export const SESSION_DAYS = 90;

const sessionRow = z.object({
  person_id: z.string(),
  email: z.string(),
  display_name: z.string(),
  seen_long_ago: z.boolean(),
});

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

  /** The one query that says whether a session still holds. */
  async find(secret: string): Promise<SignedIn | null> {
    const hash = hashSecret(secret);
    const rows = await this.database.client.$queryRaw<unknown[]>`
      SELECT p.id::text AS person_id, p.email, p.display_name, s.last_seen_at < now() - interval '1 hour' AS seen_long_ago
      FROM session s JOIN person p ON p.id = s.person_id
      WHERE s.token_hash = ${hash} AND s.expires_at > now() AND s.last_seen_at > now() - interval '14 days'`;
    if (rows[0] === undefined) return null;
    const row = sessionRow.parse(rows[0]);
    if (row.seen_long_ago) {
      await this.database.client.$executeRaw`UPDATE session SET last_seen_at = now() WHERE token_hash = ${hash}`;
    }
    return { personId: row.person_id, email: row.email, displayName: row.display_name };
  }

  async end(secret: string): Promise<void> {
    await this.database.client.session.deleteMany({ where: { tokenHash: hashSecret(secret) } });
  }

  /** Ends every session of these accounts. */
  async endAllOf(emails: readonly string[]): Promise<void> {
    await this.database.client.session.deleteMany({ where: { person: { email: { in: [...emails] } } } });
  }

  /** The person's place in a cooperative, or null. */
  async actor(person: SignedIn, cooperativeId: string): Promise<Actor | null> {
    return this.database.client.$transaction(async (tx) => {
      await enter(tx, { cooperativeId: NIL_ID, personId: person.personId });
      return membershipOf(tx, person, cooperativeId);
    });
  }
}

async function membershipOf(tx: Tx, person: SignedIn, cooperativeId: string): Promise<Actor | null> {
  const found = await tx.membership.findUnique({
    where: { cooperativeId_personId: { cooperativeId, personId: person.personId } },
    select: { householdId: true, roles: true },
  });
  if (!found) return null;
  return {
    cooperativeId,
    personId: person.personId,
    householdId: found.householdId,
    roles: found.roles as Role[],
    displayName: person.displayName,
  };
}
