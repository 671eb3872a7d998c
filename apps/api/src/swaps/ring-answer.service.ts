import { Injectable } from '@nestjs/common';
import {
  DomainError,
  microPerPortion,
  overCredit,
  rational,
  refusalError,
  ringBalance,
  swapDone,
  whyNotSwappable,
} from '@frostmoot/calc';
import type { SwapRefusal } from '@frostmoot/calc';
import type { answerRing } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { NoticesService } from '../notices/notices.service.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import type { ContainerCard } from '../stock/container-card.ts';
import { LapsedRings } from './lapsed-rings.ts';
import { OfferRepository } from './offer.repository.ts';
import { RingRepository } from './ring.repository.ts';
import type { RingRow } from './ring.repository.ts';
import { ringNow } from './ring.view.ts';
import type { RingView } from './ring.view.ts';
import { RingsService } from './rings.service.ts';
import { SwapRepository } from './swap.repository.ts';

type Answer = z.infer<typeof answerRing>;
type Outcome = { ring: RingView } | { refusal: SwapRefusal };
interface Moved {
  part: RingRow['parts'][number];
  card: ContainerCard;
}

/** What may not be known of the others in a ring: that one of them must not eat its part by now, or that the credit was changed. */
const changed: SwapRefusal = {
  code: 'not-swappable',
  detail: 'The ring is no longer right for everybody in it.',
  params: {},
};

/** Each household of a ring says yes or no; the last yes moves everything, in one transaction. */
@Injectable()
export class RingAnswerService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rings: RingRepository,
    private readonly views: RingsService,
    private readonly swaps: SwapRepository,
    private readonly offers: OfferRepository,
    private readonly containers: ContainerRepository,
    private readonly ledger: LedgerRepository,
    private readonly notices: NoticesService,
    private readonly lapsed: LapsedRings,
    private readonly clock: Clock,
  ) {}

  async answer(actor: Actor, ringId: string, version: number, answer: Answer): Promise<RingView> {
    // That a ring can no longer happen is written down, and only then told as a refusal.
    const outcome = await this.unitOfWork.write(actor, (tx) => this.answerIn(tx, actor, ringId, version, answer));
    if ('refusal' in outcome) throw refusalError(outcome.refusal);
    return outcome.ring;
  }

  private async answerIn(
    tx: Tx,
    actor: Actor,
    id: string,
    version: number,
    { householdId, answer }: Answer,
  ): Promise<Outcome> {
    const seen = await this.rings.find(tx, actor, id);
    // Who is not in a ring is not told of it.
    if (!seen?.members.some(({ household }) => household.id === householdId))
      throw new DomainError('not-found', 'There is no such ring');
    requireHousehold(actor, householdId);
    const day = await dayOf(tx, actor, this.clock);
    const cards = answer === 'accept' ? await this.lockParts(tx, actor, seen, day) : [];
    const ring = await this.rings.lock(tx, actor, id);
    const member = ring.members.find(({ household }) => household.id === householdId) as RingRow['members'][number];
    const { state, reason } = ringNow(ring, day.now);
    if (state !== 'proposed') {
      if (ring.state === 'proposed') await this.close(tx, actor, id, { state: 'lapsed', reason: 'unanswered' }, day);
      const why = ring.gone ? `The container ${ring.gone.code} is no longer there.` : `This ring is ${state}.`;
      return { refusal: { code: 'swap-closed', detail: why, params: { state, reason: reason ?? '', ...ring.gone } } };
    }
    requireVersion(member.version, version);
    if (answer === 'decline') {
      await this.rings.answer(tx, actor, id, householdId, 'declined', day.now);
      await this.close(tx, actor, id, { state: 'declined' }, day);
      await this.notices.give(tx, actor, {
        householdIds: othersThan(ring, householdId),
        kind: 'ring-declined',
        facts: { household: member.household.name },
        subjectId: id,
      });
      return { ring: await this.views.viewIn(tx, actor, id, householdId, day) };
    }
    await this.refuseUnfit(tx, actor, ring, householdId, day.today);
    await this.rings.answer(tx, actor, id, householdId, 'accepted', day.now);
    const isLast = ring.members.every(
      ({ household, answer: said }) => household.id === householdId || said === 'accepted',
    );
    if (isLast) {
      const byId = new Map(cards.map((card) => [card.id, card]));
      const moved = ring.parts.map((part) => ({ part, card: byId.get(part.containerId) as ContainerCard }));
      const refusal = await this.whyNot(tx, actor, ring, moved, day);
      if (refusal) {
        const goneContainerId = moved.find(({ card }) => card.code === refusal.params['container'])?.card.id;
        const end = goneContainerId ? { reason: 'gone' as const, goneContainerId } : { reason: 'changed' as const };
        await this.close(tx, actor, id, { state: 'lapsed', ...end }, day);
        return { refusal };
      }
      await this.moveAll(tx, actor, ring, moved, day);
      await this.notices.give(tx, actor, {
        householdIds: othersThan(ring, householdId),
        kind: 'ring-done',
        facts: { households: ring.members.map(({ household }) => household.name).join(', ') },
        subjectId: id,
      });
    } else await tell(tx, actor, 'swaps', id);
    return { ring: await this.views.viewIn(tx, actor, id, householdId, day) };
  }

  /** Accounts, then containers in id order, then the ring: the order in which everybody locks. */
  private async lockParts(tx: Tx, actor: Actor, ring: RingRow, day: CooperativeDay): Promise<ContainerCard[]> {
    await this.ledger.lockAccounts(
      tx,
      actor,
      ring.members.map(({ household }) => ({
        book: 'portions' as const,
        account: { kind: 'household' as const, householdId: household.id },
      })),
    );
    const ids = ring.parts.map(({ containerId }) => containerId);
    return this.containers.lock(tx, actor, ids, day.now);
  }

  private async close(
    tx: Tx,
    actor: Actor,
    id: string,
    end: Parameters<RingRepository['close']>[3],
    { now }: CooperativeDay,
  ): Promise<void> {
    await this.rings.close(tx, actor, id, end, now);
    if (end.state === 'lapsed') await this.lapsed.settle(tx, actor, now);
    await tell(tx, actor, 'swaps', id);
  }

  /** In a ring nobody gets what a diner must not eat, not even when it is confirmed: that is between two, who can talk. */
  private async refuseUnfit(tx: Tx, actor: Actor, ring: RingRow, householdId: string, today: string): Promise<void> {
    const unfit = await this.views.unfitFor(tx, actor, ring, householdId, today);
    if (unfit.length === 0) return;
    const subjects = unfit.join(', ');
    throw new DomainError('excluded-food', `Somebody of the household must not eat it: ${subjects}`, {
      params: { subjects },
    });
  }

  private async whyNot(
    tx: Tx,
    actor: Actor,
    ring: RingRow,
    moved: readonly Moved[],
    { today }: CooperativeDay,
  ): Promise<SwapRefusal | null> {
    const gone = whyNotSwappable(moved.map(({ part, card }) => ({ container: card, giver: part.giverHouseholdId })));
    if (gone) return gone;
    const { swapCreditPortions } = await this.swaps.policy(tx, actor);
    const balance = ringBalance(
      moved.map(({ part, card }) => ({
        giver: part.giverHouseholdId,
        receiver: part.receiverHouseholdId,
        portions: rational.rational(BigInt(card.portions)),
      })),
    );
    if (overCredit(balance, swapCreditPortions).length > 0) return changed;
    for (const { household } of ring.members) {
      if ((await this.views.unfitFor(tx, actor, ring, household.id, today)).length > 0) return changed;
    }
    return null;
  }

  private async moveAll(
    tx: Tx,
    actor: Actor,
    ring: RingRow,
    moved: readonly Moved[],
    day: CooperativeDay,
  ): Promise<void> {
    // Closed before its containers move, since whatever else waits for one of them lapses as it moves.
    await this.close(tx, actor, ring.id, { state: 'done' }, day);
    const inOrder = [...moved].sort((a, b) => (a.card.id < b.card.id ? -1 : 1));
    for (const { part } of inOrder) await this.swaps.moveContainer(tx, actor, part, day.now);
    const wishIds = ring.parts.map(({ wishId }) => wishId);
    await this.offers.meet(tx, actor, wishIds, day.now);
    const nameOf = new Map(ring.members.map(({ household }) => [household.id, household.name]));
    const rounds = new Set(moved.map(({ card }) => card.roundId));
    await this.ledger.post(tx, actor, {
      ...swapDone(
        moved.map(({ part, card }) => ({
          giver: part.giverHouseholdId,
          receiver: part.receiverHouseholdId,
          micro: BigInt(card.portions) * microPerPortion,
          facts: {
            from: nameOf.get(part.giverHouseholdId) ?? '',
            to: nameOf.get(part.receiverHouseholdId) ?? '',
            code: card.code,
            dish: card.dish,
            portions: card.portions,
          },
        })),
      ),
      reason: `Ring of ${[...nameOf.values()].join(', ')}`,
      documentId: ring.id,
      roundId: rounds.size === 1 ? ([...rounds][0] ?? null) : null,
      occurredOn: day.today,
    });
    await tell(tx, actor, 'stock');
    for (const roundId of rounds) await tell(tx, actor, 'share-outs', roundId);
    await tell(tx, actor, 'accounts');
  }
}

const othersThan = ({ members }: RingRow, householdId: string): string[] =>
  members.map(({ household }) => household.id).filter((id) => id !== householdId);
