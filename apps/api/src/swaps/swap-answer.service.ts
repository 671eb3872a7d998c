import { Injectable } from '@nestjs/common';
import {
  answererOf,
  DomainError,
  microPerPortion,
  refusalError,
  stateAfter,
  stateNow,
  swapDone,
  whyNotSwappable,
} from '@frostmoot/calc';
import type { SwapRefusal } from '@frostmoot/calc';
import type { answerSwap } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { requireHousehold, requireOwnHousehold } from '../platform/auth/actor.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import type { ContainerCard } from '../stock/container-card.ts';
import { SwapRepository } from './swap.repository.ts';
import type { SwapPartRow, SwapRow } from './swap.repository.ts';
import type { SwapView } from './swap.view.ts';
import { SwapsService } from './swaps.service.ts';

type Answer = z.infer<typeof answerSwap>;
type Outcome = { swap: SwapView } | { refusal: SwapRefusal };

const notSwappable: SwapRefusal = {
  code: 'not-swappable',
  detail: 'What the other household would get is no longer right for it.',
  params: {},
};

/** Accepts, declines or withdraws: all parts of a swap move together, or none. */
@Injectable()
export class SwapAnswerService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly swaps: SwapRepository,
    private readonly board: SwapsService,
    private readonly containers: ContainerRepository,
    private readonly ledger: LedgerRepository,
    private readonly clock: Clock,
  ) {}

  async answer(actor: Actor, swapId: string, version: number, answer: Answer): Promise<SwapView> {
    // That a swap can no longer happen is written down, and only then told as a refusal.
    const outcome = await this.unitOfWork.write(actor, (tx) => this.answerIn(tx, actor, swapId, version, answer));
    if ('refusal' in outcome) throw refusalError(outcome.refusal);
    return outcome.swap;
  }

  private async answerIn(tx: Tx, actor: Actor, id: string, version: number, answer: Answer): Promise<Outcome> {
    const swap = await this.swaps.lock(tx, actor, id);
    if (!swap) throw new DomainError('not-found', 'There is no such swap');
    const open = { ...swap, openUntil: swap.openUntil.getTime(), from: swap.from.id, to: swap.to.id };
    const answerer = answererOf(open, answer.answer);
    requireHousehold(actor, answerer);
    const day = await dayOf(tx, actor, this.clock);
    const state = stateNow(open, day.now.getTime());
    if (state !== 'proposed') {
      if (swap.state === 'proposed') await this.close(tx, actor, id, 'lapsed', day);
      return { refusal: { code: 'swap-closed', detail: `This swap is ${state}.`, params: { state } } };
    }
    requireVersion(swap.version, version);
    if (answer.answer === 'accept') {
      const refusal = await this.move(tx, actor, swap, answer.confirmWords, day);
      if (refusal) {
        await this.close(tx, actor, id, 'lapsed', day);
        return { refusal };
      }
    }
    await this.close(tx, actor, id, stateAfter[answer.answer], day);
    return { swap: await this.board.viewIn(tx, actor, id, answerer, day.now) };
  }

  private async close(
    tx: Tx,
    actor: Actor,
    id: string,
    state: SwapRow['state'],
    { now }: CooperativeDay,
  ): Promise<void> {
    await this.swaps.close(tx, actor, id, state, now);
    await tell(tx, actor, 'swaps', id);
  }

  /** Moves every container and books it; or gives why that is not possible any more, with nothing moved. */
  private async move(
    tx: Tx,
    actor: Actor,
    swap: SwapRow,
    confirmWords: string | null,
    day: CooperativeDay,
  ): Promise<SwapRefusal | null> {
    await this.ledger.lockAccounts(
      tx,
      actor,
      [swap.from.id, swap.to.id].map((householdId) => ({
        book: 'portions' as const,
        account: { kind: 'household' as const, householdId },
      })),
    );
    const locked = await this.containers.lock(
      tx,
      actor,
      swap.parts.map(({ containerId }) => containerId),
      day.now,
    );
    const cards = new Map(locked.map((card) => [card.id, card]));
    const parts = swap.parts.map((part) => ({ part, card: cards.get(part.containerId) as ContainerCard }));
    const refusal = whyNotSwappable(parts.map(({ part, card }) => ({ container: card, giver: part.giverHouseholdId })));
    if (refusal) return refusal;
    if (!(await this.confirmUnfit(tx, actor, swap, confirmWords, day.today))) return notSwappable;
    for (const { part } of parts) await this.swaps.moveContainer(tx, actor, part, day.now);
    await this.book(tx, actor, swap, parts, day.today);
    await tell(tx, actor, 'stock');
    for (const roundId of new Set(locked.map((card) => card.roundId))) await tell(tx, actor, 'share-outs', roundId);
    await tell(tx, actor, 'accounts');
    return null;
  }

  /** Asks whoever accepts to confirm what is unfit for it. False when it is the proposer who by now must not eat its part: that is not for others to know. */
  private async confirmUnfit(
    tx: Tx,
    actor: Actor,
    swap: SwapRow,
    words: string | null,
    today: string,
  ): Promise<boolean> {
    const unfit: { containerId: string; subjects: string[] }[] = [];
    for (const { containerId, receiverHouseholdId } of swap.parts) {
      const subjects = await this.containers.excludedSubjects(tx, actor, containerId, receiverHouseholdId, today);
      if (subjects.length === 0) continue;
      if (receiverHouseholdId === swap.from.id) return false;
      unfit.push({ containerId, subjects });
    }
    if (unfit.length === 0) return true;
    if (words === null) {
      const subjects = [...new Set(unfit.flatMap((found) => found.subjects))].sort().join(', ');
      throw new DomainError('excluded-food', `Somebody of the household must not eat it: ${subjects}`, {
        params: { subjects },
      });
    }
    requireOwnHousehold(actor, swap.to.id);
    for (const { containerId, subjects } of unfit) {
      await this.swaps.keepConfirmation(tx, actor, { containerId, householdId: swap.to.id, subjects, words });
    }
    return true;
  }

  private async book(
    tx: Tx,
    actor: Actor,
    swap: SwapRow,
    parts: readonly { part: SwapPartRow; card: ContainerCard }[],
    today: string,
  ): Promise<void> {
    const rounds = new Set(parts.map(({ card }) => card.roundId));
    await this.ledger.post(tx, actor, {
      ...swapDone(
        parts.map(({ part, card }) => ({
          giver: part.giverHouseholdId,
          receiver: part.receiverHouseholdId,
          micro: BigInt(card.portions) * microPerPortion,
          facts: { code: card.code, dish: card.dish, portions: card.portions },
        })),
      ),
      reason: `Swap between ${swap.from.name} and ${swap.to.name}`,
      facts: { from: swap.from.name, to: swap.to.name },
      documentId: swap.id,
      roundId: rounds.size === 1 ? ([...rounds][0] ?? null) : null,
      occurredOn: today,
    });
  }
}
