import { Injectable } from '@nestjs/common';
import { DomainError, lost, microPerPortion, movedByCorrection, requireStage } from '@frostmoot/calc';
import type { EntryDraft, Facts } from '@frostmoot/calc';
import type { correctShareOut } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import type { ContainerCard } from '../stock/container-card.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { claimRefusal } from './claim-refusals.ts';
import { CorrectionsRepository } from './corrections.repository.ts';
import type { NewCorrection } from './corrections.repository.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import { ShareOutService } from './share-out.service.ts';
import type { ShareOutView } from './share-out.view.ts';
import { UnfitBecause } from './unfit-because.ts';
import { WaitingRepository } from './waiting.repository.ts';

type Asked = z.infer<typeof correctShareOut>;

/** Corrects what a confirmed share-out gave, by a fact and an entry of their own: the share-out stays as it was confirmed. */
@Injectable()
export class CorrectionsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly shareOuts: ShareOutRepository,
    private readonly corrections: CorrectionsRepository,
    private readonly containers: ContainerRepository,
    private readonly waitings: WaitingRepository,
    private readonly ledger: LedgerRepository,
    private readonly sharing: ShareOutService,
    private readonly unfit: UnfitBecause,
    private readonly clock: Clock,
  ) {}

  correct(actor: Actor, shareOutId: string, asked: Asked): Promise<ShareOutView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const kept = await this.shareOuts.find(tx, actor, shareOutId);
      if (!kept) throw new DomainError('not-found', 'There is no such share-out');
      if (kept.state !== 'confirmed')
        throw new DomainError('round-not-ready', 'It is not confirmed yet: work it out again');
      const round = await this.shareOuts.round(tx, actor, kept.roundId);
      requireStage(round?.stage ?? 'planning', ['sharing'], 'Correcting a share-out');
      const { now, today } = await dayOf(tx, actor, this.clock);
      const container = await this.existing(tx, actor, asked, kept.roundId, now);
      const correction: NewCorrection = {
        shareOutId,
        containerId: container.id,
        kind: asked.kind,
        fromHouseholdId: container.holderId as string,
        toHouseholdId: asked.kind === 'broken' ? null : asked.toHouseholdId,
        reason: asked.reason,
      };
      await this.requireFit(tx, actor, correction, today);
      const id = await this.corrections.add(tx, actor, correction);
      await this.corrections.move(tx, actor, correction, now);
      await this.ledger.post(tx, actor, {
        ...entryOf(correction, container),
        reason: asked.reason,
        facts: factsOf(container, asked.reason),
        documentId: id,
        roundId: kept.roundId,
        occurredOn: today,
      });
      await tell(tx, actor, 'share-outs', kept.roundId);
      for (const topic of ['stock', 'accounts', 'swaps'] as const) await tell(tx, actor, topic);
      return this.sharing.viewIn(tx, actor, kept.roundId);
    });
  }

  /** The container as it is once nobody else may move it; accounts are locked before, as everybody does. */
  private async existing(tx: Tx, actor: Actor, asked: Asked, roundId: string, now: Date): Promise<ContainerCard> {
    const [seen] = await this.containers.byIds(tx, actor, [asked.containerId], now);
    if (seen?.roundId !== roundId) throw new DomainError('not-found', 'There is no such container in this round');
    if (asked.kind === 'other-household') {
      if (asked.toHouseholdId === null) {
        const errors = [{ pointer: '#/toHouseholdId', detail: 'Must say which household has it.' }];
        throw new DomainError('invalid-input', 'Some of the input cannot be used', { errors });
      }
      if (!(await this.waitings.hasHousehold(tx, actor, asked.toHouseholdId))) {
        throw new DomainError('not-found', 'There is no such household');
      }
    }
    const holders = [seen.holderId, asked.kind === 'other-household' ? asked.toHouseholdId : null];
    await this.ledger.lockAccounts(tx, actor, [
      { book: 'portions', account: { kind: 'common' } },
      ...holders.flatMap((householdId) =>
        householdId === null
          ? []
          : [{ book: 'portions' as const, account: { kind: 'household' as const, householdId } }],
      ),
    ]);
    const [container] = await this.containers.lock(tx, actor, [seen.id], now);
    if (!container || container.holderId !== seen.holderId) {
      throw new DomainError('conflict', 'Somebody has moved this container at the same moment');
    }
    if (container.state !== 'sealed') throw claimRefusal('container-not-free', { state: container.state });
    if (container.holderId === null) {
      throw new DomainError('conflict', 'It lies in the common freezer; what is there is written off or claimed');
    }
    if (container.holderId === asked.toHouseholdId)
      throw new DomainError('conflict', 'This household holds it already');
    return container;
  }

  private async requireFit(
    tx: Tx,
    actor: Actor,
    { containerId, toHouseholdId }: NewCorrection,
    today: string,
  ): Promise<void> {
    if (toHouseholdId === null) return;
    const subjects = await this.containers.excludedSubjects(tx, actor, containerId, toHouseholdId, today);
    if (subjects.length === 0) return;
    const ingredients = await this.unfit.ingredients(tx, actor, containerId, subjects);
    throw claimRefusal('excluded-food', { subjects: subjects.join(', '), ingredients, final: 1 });
  }
}

const factsOf = ({ code, dish, portions }: ContainerCard, because: string): Facts => ({
  code,
  dish,
  portions,
  because,
});

function entryOf({ fromHouseholdId, toHouseholdId, reason }: NewCorrection, container: ContainerCard): EntryDraft {
  const micro = BigInt(container.portions) * microPerPortion;
  const facts = factsOf(container, reason);
  return toHouseholdId === null
    ? lost(fromHouseholdId, micro, { ...facts, part: 'broken' })
    : movedByCorrection(fromHouseholdId, toHouseholdId, micro, facts);
}
