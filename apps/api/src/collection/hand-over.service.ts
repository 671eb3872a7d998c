import { Injectable } from '@nestjs/common';
import {
  DomainError,
  household,
  mayHandOver,
  microPerPortion,
  released,
  requireReleasable,
  requireTaker,
} from '@frostmoot/calc';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { localToday } from '../platform/clock/local-today.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { WaitingService } from '../share-outs/waiting.service.ts';
import { CollectionNotices } from './collection-notices.service.ts';
import { CollectionReader } from './collection-reader.ts';
import type { CollectionView } from './collection-reader.ts';
import { CollectionRepository } from './collection.repository.ts';
import { notSetYet, notShared } from './collection.service.ts';
import { HandOverRepository } from './hand-over.repository.ts';
import type { HeldContainer } from './hand-over.repository.ts';

/** Containers leave the common freezer at the door, or go back to the pool when nobody came. */
@Injectable()
export class HandOverService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly collections: CollectionRepository,
    private readonly handOvers: HandOverRepository,
    private readonly reader: CollectionReader,
    private readonly ledger: LedgerRepository,
    private readonly notices: CollectionNotices,
    private readonly waiting: WaitingService,
    private readonly clock: Clock,
  ) {}

  handOver(actor: Actor, containerId: string, toHouseholdId: string): Promise<CollectionView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const container = await this.find(tx, actor, containerId);
      const delegateId = await this.requireAtTheDoor(tx, actor, container);
      if (container.state !== 'sealed') {
        throw new DomainError('container-not-free', `This container is not sealed any more: it is ${container.state}`, {
          params: { state: container.state },
        });
      }
      requireTaker(toHouseholdId, { householdId: container.householdId, delegateId });
      const { now, today } = await dayOf(tx, actor, this.clock);
      // Said without a reason: nobody at the door learns why a household has to answer first.
      if (container.claimState === 'held' && (await this.handOvers.waitsForOwnYes(tx, actor, container, today))) {
        throw new DomainError('conflict', 'The household has to say yes to this container itself first', {
          params: { why: 'own-yes' },
        });
      }
      await this.handOvers.handOver(tx, actor, container, toHouseholdId, now);
      return this.changed(tx, actor, container);
    });
  }

  undo(actor: Actor, containerId: string): Promise<CollectionView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const container = await this.find(tx, actor, containerId);
      await this.requireAtTheDoor(tx, actor, container);
      const { now, today, timeZone } = await dayOf(tx, actor, this.clock);
      if (!container.handedAt) throw new DomainError('conflict', 'This container has not been handed over');
      if (container.state !== 'sealed' || localToday(container.handedAt, timeZone) !== today) {
        throw new DomainError('conflict', 'Only what was handed over today, and is still sealed, can be taken back');
      }
      await this.handOvers.undo(tx, actor, container, now);
      return this.changed(tx, actor, container);
    });
  }

  /** What a household has not collected by the deadline goes back to the pool, and it is owed those portions again. */
  releaseUncollected(actor: Actor, roundId: string, householdId: string): Promise<CollectionView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const round = await this.collections.round(tx, actor, roundId);
      if (!round) throw new DomainError('not-found', 'There is no such round');
      const row = await this.collections.ofRound(tx, actor, roundId);
      if (!round.isShared) throw notShared();
      if (!row) throw notSetYet();
      const { now, today } = await dayOf(tx, actor, this.clock);
      const { collectBy, afterDeadline } = row;
      requireReleasable(
        { collectBy: collectBy.getTime(), afterDeadline: afterDeadline as 'keep' | 'release' },
        now.getTime(),
      );
      if (!(await this.collections.households(tx, actor, [householdId])).has(householdId)) {
        throw new DomainError('not-found', 'There is no such household');
      }
      // Accounts before containers, as everybody locks them.
      await this.ledger.lockAccounts(tx, actor, [
        { book: 'portions', account: { kind: 'common' } },
        { book: 'portions', account: household(householdId) },
      ]);
      const left = await this.lockUncollected(tx, actor, roundId, householdId);
      for (const container of left) {
        await this.handOvers.lapse(tx, actor, container, now);
        const { code, dish, portions } = container;
        const facts = { code, dish, portions, why: 'not-collected' };
        await this.ledger.post(tx, actor, {
          ...released(householdId, BigInt(portions) * microPerPortion, facts),
          reason: `Not collected, back in the pool: ${code}`,
          facts,
          documentId: container.id,
          roundId,
          occurredOn: today,
        });
        await tell(tx, actor, 'stock', container.id);
      }
      await this.waiting.passOnIn(tx, actor);
      await this.notices.backInPool(tx, actor, roundId, {
        householdId,
        round: round.number,
        containers: left.length,
        portions: left.reduce((sum, { portions }) => sum + portions, 0),
      });
      await tell(tx, actor, 'share-outs', roundId);
      await tell(tx, actor, 'accounts');
      return this.reader.view(tx, actor, roundId);
    });
  }

  private async lockUncollected(tx: Tx, actor: Actor, roundId: string, householdId: string): Promise<HeldContainer[]> {
    const open = async (): Promise<HeldContainer[]> =>
      (await this.handOvers.held(tx, actor, { roundId })).filter(
        (container) => container.householdId === householdId && container.claimState !== 'collected',
      );
    const seen = await open();
    await this.handOvers.lock(
      tx,
      actor,
      seen.map(({ id }) => id),
    );
    return open();
  }

  /** The container as it is once nobody else can change it. */
  private async find(tx: Tx, actor: Actor, containerId: string): Promise<HeldContainer> {
    if (!(await this.handOvers.exists(tx, actor, containerId))) {
      throw new DomainError('not-found', 'There is no such container');
    }
    await this.handOvers.lock(tx, actor, [containerId]);
    const [container] = await this.handOvers.held(tx, actor, { containerId });
    if (!container) throw new DomainError('conflict', 'Nobody holds this container', { params: { why: 'pool' } });
    return container;
  }

  /** Refuses whoever may not tick for the container's household; gives the household that it sends. */
  private async requireAtTheDoor(tx: Tx, actor: Actor, container: HeldContainer): Promise<string | null> {
    const row = await this.collections.ofRound(tx, actor, container.roundId);
    const choice = row?.choices.find(({ householdId }) => householdId === container.householdId);
    const delegateId = choice?.delegateHouseholdId ?? null;
    const door = await this.reader.door(tx, actor, container.roundId);
    if (mayHandOver(door, { householdId: container.householdId, delegateId })) return delegateId;
    throw new DomainError(
      'forbidden',
      'Only its household, who collects for it, the kitchen or a coordinator may do this',
    );
  }

  private async changed(tx: Tx, actor: Actor, { id, roundId }: HeldContainer): Promise<CollectionView> {
    await tell(tx, actor, 'stock', id);
    await tell(tx, actor, 'share-outs', roundId);
    return this.reader.view(tx, actor, roundId);
  }
}
