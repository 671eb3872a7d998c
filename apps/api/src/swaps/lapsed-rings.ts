import { Injectable } from '@nestjs/common';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { RingRepository } from './ring.repository.ts';

/** Writes down which rings have lapsed, and tells the households in them once, whatever the reason was. */
@Injectable()
export class LapsedRings {
  constructor(
    private readonly rings: RingRepository,
    private readonly notices: NoticesService,
  ) {}

  async settle(tx: Tx, actor: Actor, now: Date): Promise<void> {
    await this.rings.lapse(tx, actor, now);
    for (const { id, reason, members } of await this.rings.lapsedUntold(tx, actor, now)) {
      await this.notices.give(tx, actor, {
        householdIds: members.map(({ household }) => household.id),
        kind: 'ring-lapsed',
        facts: { households: members.map(({ household }) => household.name).join(', '), reason: reason ?? 'changed' },
        subjectId: id,
      });
    }
  }
}
