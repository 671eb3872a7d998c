import { Injectable } from '@nestjs/common';
import {
  DomainError,
  household,
  lost,
  lostFromCommon,
  microPerPortion,
  requireSealed,
  requireUndoable,
} from '@frostmoot/calc';
import type { endContainer } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { localToday } from '../platform/clock/local-today.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { ContainerRepository } from './container.repository.ts';
import type { ContainerCard } from './container-card.ts';
import { freezerView } from './freezer.view.ts';
import type { FreezerView } from './freezer.view.ts';
import { StockRepository } from './stock.repository.ts';

@Injectable()
export class StockService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly containers: ContainerRepository,
    private readonly stock: StockRepository,
    private readonly ledger: LedgerRepository,
    private readonly clock: Clock,
  ) {}

  freezer(actor: Actor, householdId = actor.householdId): Promise<FreezerView> {
    requireHousehold(actor, householdId);
    return this.unitOfWork.read(actor, async (tx) => {
      const household = await this.stock.household(tx, actor, householdId);
      if (!household) throw new DomainError('not-found', 'There is no such household');
      const day = await dayOf(tx, actor, this.clock);
      const containers = await this.containers.ofHousehold(tx, actor, householdId, day.now);
      return freezerView(household, containers, day, await this.stock.roundCosts(tx, actor));
    });
  }

  end(
    actor: Actor,
    containerId: string,
    version: number,
    ending: z.infer<typeof endContainer>,
  ): Promise<ContainerCard> {
    const isWrittenOff = ending.against === 'common';
    if (isWrittenOff && !actor.roles.includes('coordinator')) {
      throw new DomainError('forbidden', 'Only a coordinator writes a container off against the common account');
    }
    return this.change(actor, containerId, version, async (tx, card, now, today) => {
      requireSealed(card.state);
      const { state, reasonCode: code, reason } = ending;
      await this.stock.end(tx, actor, card.id, { state, endedAt: now, code, reason: reason || null });
      if (card.holderId !== null && !isWrittenOff) return;
      const facts = { code: card.code, dish: card.dish, portions: card.portions, state, ...(reason ? { reason } : {}) };
      const micro = BigInt(card.portions) * microPerPortion;
      await this.ledger.post(tx, actor, {
        ...(card.holderId === null ? lostFromCommon(micro, facts) : lost(card.holderId, micro, facts)),
        reason: card.holderId === null ? `Gone from the common freezer: ${card.code}` : `Written off: ${card.code}`,
        facts,
        documentId: card.id,
        roundId: card.roundId,
        occurredOn: today,
      });
    });
  }

  restore(actor: Actor, containerId: string, version: number): Promise<ContainerCard> {
    return this.change(actor, containerId, version, async (tx, card, _now, today, timeZone) => {
      const endedOn = card.endedAt === null ? null : localToday(new Date(card.endedAt), timeZone);
      requireUndoable(card.state, endedOn, today);
      const loss = await this.ledger.ofDocument(tx, actor, 'loss', card.id);
      if (loss && !actor.roles.includes('coordinator')) {
        throw new DomainError('forbidden', 'Only a coordinator takes back what was written off');
      }
      await this.stock.end(tx, actor, card.id, { state: 'sealed', endedAt: null, code: null, reason: null });
      if (loss) {
        const reason = `Found again: ${card.code}`;
        await this.ledger.reverse(tx, actor, loss, { reason, occurredOn: today });
      }
    });
  }

  move(actor: Actor, containerId: string, version: number, place: string): Promise<ContainerCard> {
    return this.change(actor, containerId, version, async (tx, card) => {
      requireSealed(card.state);
      await this.stock.move(tx, actor, card.id, place);
    });
  }

  /** One change of one container by whoever may: its household, or a coordinator for what is nobody's. */
  private change(
    actor: Actor,
    containerId: string,
    version: number,
    work: (tx: Tx, card: ContainerCard, now: Date, today: string, timeZone: string) => Promise<void>,
  ): Promise<ContainerCard> {
    return this.unitOfWork.write(actor, async (tx) => {
      const { now, today, timeZone } = await dayOf(tx, actor, this.clock);
      const [seen] = await this.containers.byIds(tx, actor, [containerId], now);
      if (!seen) throw new DomainError('not-found', 'There is no such container');
      requireKeeper(actor, seen.holderId);
      // Accounts before containers, as everybody locks them.
      await this.ledger.lockAccounts(tx, actor, [
        { book: 'portions', account: { kind: 'common' } },
        ...(seen.holderId === null ? [] : [{ book: 'portions' as const, account: household(seen.holderId) }]),
      ]);
      const [card] = await this.containers.lock(tx, actor, [containerId], now);
      if (!card) throw new DomainError('not-found', 'There is no such container');
      requireVersion(card.version, version);
      requireKeeper(actor, card.holderId);
      await work(tx, card, now, today, timeZone);
      await tell(tx, actor, 'stock', card.id);
      await tell(tx, actor, 'share-outs', card.roundId);
      await tell(tx, actor, 'accounts');
      const [changed] = await this.containers.byIds(tx, actor, [containerId], now);
      return changed as ContainerCard;
    });
  }
}

function requireKeeper(actor: Actor, holderId: string | null): void {
  if (holderId !== null) requireHousehold(actor, holderId);
  else if (!actor.roles.includes('coordinator')) {
    throw new DomainError('forbidden', 'What lies in the common freezer is the coordinator’s to write off or move');
  }
}
