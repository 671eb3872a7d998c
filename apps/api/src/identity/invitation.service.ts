import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { acceptInvitation, invitation, invite } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireThere } from '../cooperatives/require-there.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Attempts } from '../platform/auth/attempts.ts';
import { Passwords } from '../platform/auth/passwords.ts';
import { deriveSecret, hashSecret } from '../platform/auth/secrets.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { NIL_ID } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { InvitationRepository } from './invitation.repository.ts';
import { PersonRepository } from './person.repository.ts';
import { SignInService, type Me } from './sign-in.service.ts';

type Accept = z.infer<typeof acceptInvitation>;
const VALID_MS = 14 * 24 * 60 * 60 * 1000;

/** Links that give whoever opens them a place in a household. */
@Injectable()
export class InvitationService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly invitations: InvitationRepository,
    private readonly persons: PersonRepository,
    private readonly passwords: Passwords,
    private readonly attempts: Attempts,
    private readonly signIns: SignInService,
    private readonly clock: Clock,
  ) {}

  /**
   * The token comes from the session's secret and the request's key, so that the same request gives the same link again although the token is kept
   * nowhere but as a hash.
   */
  async invite(
    actor: Actor,
    input: z.infer<typeof invite>,
    from: { sessionSecret: string; idempotencyKey: string },
  ): Promise<z.infer<typeof invitation>> {
    const token = deriveSecret(from.sessionSecret, `invitation ${actor.cooperativeId} ${from.idempotencyKey}`);
    const tokenHash = hashSecret(token);
    const digest = Buffer.from(tokenHash).toString('base64url');
    const kept = await this.unitOfWork.write(actor, async (tx) => {
      await requireThere(tx, actor, input.householdId, (await dayOf(tx, actor, this.clock)).today);
      const createdAt = this.clock.now();
      const expiresAt = new Date(createdAt.getTime() + VALID_MS);
      const { householdId, roles } = input;
      await this.invitations.create(tx, actor, { tokenHash, householdId, roles, createdAt, expiresAt });
      return { expiresAt: expiresAt.toISOString(), digest };
    });
    if (kept.digest !== digest) {
      throw new DomainError('idempotency-key-reused', 'This key was used in another session; invite anew');
    }
    const query = new URLSearchParams({ cooperative: actor.cooperativeId, token });
    return { path: `/invitation?${query.toString()}`, expiresAt: kept.expiresAt };
  }

  /** Signs in at the end, so that the same request sent again also needs the password. */
  async accept(input: Accept, address: string): Promise<{ me: Me; secret: string }> {
    this.attempts.check(input.email, address);
    const known = (await this.persons.findByEmail(input.email)) !== null;
    const who = known
      ? { personId: await this.signIns.personOf(input, address) }
      : { passwordHash: await this.passwords.hash(input.password) };
    const scope = { cooperativeId: input.cooperativeId, personId: NIL_ID };
    try {
      await this.unitOfWork.write(scope, (tx) => this.join(tx, input, who));
    } catch (error) {
      if (error instanceof DomainError && error.code === 'not-found') this.attempts.failed(input.email, address);
      throw error;
    }
    return this.signIns.signIn(input, address);
  }

  private async join(tx: Tx, input: Accept, who: { personId: string } | { passwordHash: string }): Promise<null> {
    const { cooperativeId } = input;
    const used = await this.invitations.use(tx, cooperativeId, hashSecret(input.token), this.clock.now());
    if (!used) throw new DomainError('not-found', 'This invitation was used, has ended or never was');
    const { today } = await dayOf(tx, { cooperativeId, personId: NIL_ID }, this.clock);
    await requireThere(tx, { cooperativeId }, used.householdId, today);
    const personId = 'personId' in who ? who.personId : await this.createPerson(tx, input, who.passwordHash);
    await this.persons.join(tx, { cooperativeId, personId, ...used });
    await tell(tx, { cooperativeId, personId }, 'households', used.householdId);
    return null;
  }

  private async createPerson(tx: Tx, { cooperativeId, email, displayName }: Accept, passwordHash: string) {
    const { locale } = await tx.cooperative.findUniqueOrThrow({
      where: { id: cooperativeId },
      select: { locale: true },
    });
    return this.persons.create(tx, { email, displayName, locale, passwordHash });
  }
}
