import { Injectable } from '@nestjs/common';
import { checkSlots, DomainError, invalidInput } from '@frostmoot/calc';
import type { chooseCollection, saveCollection } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireHousehold } from '../platform/auth/actor.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { CollectionNotices } from './collection-notices.service.ts';
import { CollectionReader } from './collection-reader.ts';
import type { CollectionView } from './collection-reader.ts';
import { CollectionRepository } from './collection.repository.ts';

type Typed = z.infer<typeof saveCollection>;

/** Where and when containers are collected: set by a coordinator, chosen by each household. */
@Injectable()
export class CollectionService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly collections: CollectionRepository,
    private readonly reader: CollectionReader,
    private readonly notices: CollectionNotices,
    private readonly clock: Clock,
  ) {}

  view(actor: Actor, roundId: string): Promise<CollectionView> {
    return this.unitOfWork.read(actor, (tx) => this.reader.view(tx, actor, roundId));
  }

  create(actor: Actor, roundId: string, typed: Typed): Promise<CollectionView> {
    checkTyped(typed);
    return this.unitOfWork.write(actor, async (tx) => {
      await this.requireShared(tx, actor, roundId);
      await this.collections.create(tx, actor, roundId, typed);
      return this.told(tx, actor, roundId);
    });
  }

  change(actor: Actor, roundId: string, version: number, typed: Typed): Promise<CollectionView> {
    checkTyped(typed);
    return this.unitOfWork.write(actor, async (tx) => {
      await this.requireShared(tx, actor, roundId);
      await this.collections.lock(tx, actor, roundId);
      const row = await this.collections.ofRound(tx, actor, roundId);
      if (!row) throw notSetYet();
      requireVersion(row.version, version);
      await this.collections.change(
        tx,
        actor,
        row.id,
        row.slots.map(({ id }) => id),
        typed,
      );
      return this.told(tx, actor, roundId);
    });
  }

  choose(actor: Actor, roundId: string, choice: z.infer<typeof chooseCollection>): Promise<CollectionView> {
    const { householdId, slotId, delegateHouseholdId } = choice;
    requireHousehold(actor, householdId);
    return this.unitOfWork.write(actor, async (tx) => {
      await this.requireShared(tx, actor, roundId);
      await this.collections.lock(tx, actor, roundId);
      const row = await this.collections.ofRound(tx, actor, roundId);
      if (!row) throw notSetYet();
      const known = await this.collections.households(tx, actor, [householdId, delegateHouseholdId ?? householdId]);
      if (!known.has(householdId)) throw new DomainError('not-found', 'There is no such household');
      if (slotId !== null && !row.slots.some(({ id }) => id === slotId)) {
        throw invalidInput([{ pointer: '#/slotId', detail: 'There is no such time any more.' }]);
      }
      // One that has left still collects what was set aside for it, but takes nothing along for others.
      const isDelegate = delegateHouseholdId !== householdId && known.get(delegateHouseholdId ?? '')?.hasLeft === false;
      if (delegateHouseholdId !== null && !isDelegate) {
        throw invalidInput([{ pointer: '#/delegateHouseholdId', detail: 'Must be another household that is there.' }]);
      }
      await this.collections.choose(tx, actor, row.id, { ...choice, at: this.clock.now() });
      return this.changed(tx, actor, roundId);
    });
  }

  private async requireShared(tx: Tx, actor: Actor, roundId: string): Promise<void> {
    const round = await this.collections.round(tx, actor, roundId);
    if (!round) throw new DomainError('not-found', 'There is no such round');
    if (!round.isShared) throw notShared();
  }

  private async told(tx: Tx, actor: Actor, roundId: string): Promise<CollectionView> {
    const view = await this.changed(tx, actor, roundId);
    await this.notices.set(tx, actor, view);
    return view;
  }

  private async changed(tx: Tx, actor: Actor, roundId: string): Promise<CollectionView> {
    await tell(tx, actor, 'share-outs', roundId);
    return this.reader.view(tx, actor, roundId);
  }
}

export const notShared = (): DomainError => new DomainError('claims-closed', 'This round has not been shared out yet');

/** The round is shared out, so claims are open: it is the place and the times that are not there. */
export const notSetYet = (): DomainError =>
  new DomainError('not-found', 'Nobody has said yet where and when it is collected');

function checkTyped({ slots, collectBy }: Typed): void {
  const times = slots.map(({ startsAt, endsAt }) => ({ startsAt: Date.parse(startsAt), endsAt: Date.parse(endsAt) }));
  checkSlots(times, Date.parse(collectBy));
}
