import { Injectable } from '@nestjs/common';
import type { Role } from '@frostmoot/contract';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface NewInvitation {
  tokenHash: Uint8Array<ArrayBuffer>;
  householdId: string;
  roles: Role[];
  createdAt: Date;
  expiresAt: Date;
}

@Injectable()
export class InvitationRepository {
  async create(tx: Tx, { cooperativeId, personId }: Scope, invitation: NewInvitation): Promise<void> {
    await tx.invitation.create({ data: { cooperativeId, id: newId(), createdBy: personId, ...invitation } });
  }

  /** Checks and uses it in one statement, so that it works once. */
  async use(
    tx: Tx,
    cooperativeId: string,
    tokenHash: Uint8Array<ArrayBuffer>,
    now: Date,
  ): Promise<{ householdId: string; roles: Role[] } | null> {
    const [used] = await tx.invitation.updateManyAndReturn({
      where: { cooperativeId, tokenHash, acceptedAt: null, expiresAt: { gt: now } },
      data: { acceptedAt: now },
      select: { householdId: true, roles: true },
    });
    return used ? { householdId: used.householdId, roles: used.roles as Role[] } : null;
  }
}
