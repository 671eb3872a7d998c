import { Injectable } from '@nestjs/common';
import { ringKey, swapOpenUntil, whyNotSwappable } from '@frostmoot/calc';
import type { RingProposal } from '@frostmoot/calc';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { NoticesService } from '../notices/notices.service.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import type { ContainerCard } from '../stock/container-card.ts';
import { endOfDay } from './end-of-day.ts';
import { LapsedRings } from './lapsed-rings.ts';
import { OfferRepository } from './offer.repository.ts';
import { RingRepository } from './ring.repository.ts';
import { SwapRepository } from './swap.repository.ts';

/** How long a search may look for a proof that no rings are better. */
const PROOF_MILLISECONDS = 10_000;
/** The search before ends by itself; with a thousand containers in a few seconds. */
const SEARCH_MILLISECONDS = 120_000;

export interface RingSearch {
  onRead?: () => void;
  /** told of how many rings there are so far */
  onFound?: (rings: number) => void;
  onProved?: (rings: number) => void;
  stop?: AbortSignal;
}

/** Writing down that a ring was not answered by everybody in time, at that moment; about the ring. */
export const LAPSE_RING = 'lapse-ring';

/** Looks for rings among all that is held out and wished for, and proposes them. */
@Injectable()
export class RingSearchService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly offers: OfferRepository,
    private readonly rings: RingRepository,
    private readonly swaps: SwapRepository,
    private readonly containers: ContainerRepository,
    private readonly calc: SharedCalc,
    private readonly notices: NoticesService,
    private readonly lapsed: LapsedRings,
    private readonly jobs: Jobs,
    private readonly clock: Clock,
  ) {}

  /** Reads, computes outside of any transaction, and proposes what still stands by then; gives the ids of the new rings. */
  async search(actor: Actor, { onRead, onFound, onProved, stop }: RingSearch = {}): Promise<string[]> {
    const given = await this.unitOfWork.read(actor, (tx) => this.inputNow(tx, actor));
    onRead?.();
    const proposals = await this.calc.prove('swap-match', given, {
      ...{ milliseconds: SEARCH_MILLISECONDS, proofMilliseconds: PROOF_MILLISECONDS },
      onFirst: (first) => onFound?.(first.length),
      ...(stop ? { stop } : {}),
    });
    onProved?.(proposals.length);
    return this.unitOfWork.write(actor, (tx) => this.propose(tx, actor, proposals));
  }

  /** What is held out and wished for and does not wait in a ring. A household is offered nothing that somebody of it must not eat. */
  private async inputNow(tx: Tx, actor: Actor) {
    const now = this.clock.now();
    const offers = (await this.offers.offers(tx, actor, now)).filter(({ inRing }) => !inRing);
    const cards = new Map(
      (
        await this.containers.byIds(
          tx,
          actor,
          offers.map(({ containerId }) => containerId),
          now,
        )
      ).map((card) => [card.id, card]),
    );
    const wishes = await this.offers.wishes(tx, actor, now);
    const excludes: Record<string, string[]> = {};
    const pairs = await this.offers.excludedDishes(tx, actor, (await dayOf(tx, actor, this.clock)).today);
    for (const { householdId, recipeId } of [
      ...pairs,
      ...wishes
        .filter(({ unfit }) => unfit.length > 0)
        .map(({ householdId, dish }) => ({ householdId, recipeId: dish.id })),
    ])
      excludes[householdId] = [...new Set([...(excludes[householdId] ?? []), recipeId])];
    const { swapCreditPortions, swapRingLimit } = await this.swaps.policy(tx, actor);
    return {
      seed: `${actor.cooperativeId} ${now.toISOString()}`,
      offers: offers.flatMap(({ householdId, containerId }) => {
        const card = cards.get(containerId);
        if (!card) return [];
        const { recipeId, portions, bestBefore } = card;
        return [{ id: containerId, household: householdId, dish: recipeId, containers: 1, portions, bestBefore }];
      }),
      wants: wishes
        .filter(({ containers, inRings }) => containers > inRings)
        .map(({ id, householdId, dish, containers, inRings, score }) => ({
          ...{ id, household: householdId, dish: dish.id, containers: containers - inRings, score },
        })),
      excludes,
      creditPortions: String(swapCreditPortions),
      ...(swapRingLimit === null ? {} : { ringLimit: swapRingLimit }),
    };
  }

  /** Proposes the rings that nothing has come between: what was eaten, taken back or proposed meanwhile, and what was declined before. */
  private async propose(tx: Tx, actor: Actor, proposals: readonly RingProposal[]): Promise<string[]> {
    await this.swaps.lockRings(tx, actor);
    const day = await dayOf(tx, actor, this.clock);
    await this.lapsed.settle(tx, actor, day.now);
    const ids = proposals.flatMap(({ steps }) => steps.flatMap(({ parts }) => parts.map(({ offer }) => offer)));
    const cards = new Map((await this.containers.lock(tx, actor, ids, day.now)).map((card) => [card.id, card]));
    const free = new Set(
      (await this.offers.offers(tx, actor, day.now))
        .filter(({ inRing }) => !inRing)
        .map(({ containerId }) => containerId),
    );
    const wishes = new Set((await this.offers.wishes(tx, actor, day.now)).map(({ id }) => id));
    const declined = new Set(
      (await this.rings.toMind(tx, actor))
        .filter(({ state }) => state === 'declined')
        .map(({ parts }) =>
          ringKey(parts.map((part) => ({ container: part.containerId, receiver: part.receiverHouseholdId }))),
        ),
    );
    const made: string[] = [];
    for (const { steps } of proposals) {
      const parts = steps.flatMap(({ from, to, parts: handed }) =>
        handed.map(({ offer, want }) => ({
          ...{ containerId: offer, giverHouseholdId: from, receiverHouseholdId: to, wishId: want },
        })),
      );
      const held = parts.map((part) => ({
        container: cards.get(part.containerId) as ContainerCard,
        giver: part.giverHouseholdId,
      }));
      const stands =
        !whyNotSwappable(held) && parts.every(({ containerId, wishId }) => free.has(containerId) && wishes.has(wishId));
      const key = ringKey(parts.map((part) => ({ container: part.containerId, receiver: part.receiverHouseholdId })));
      if (!stands || declined.has(key)) continue;
      const openUntil = await this.openUntil(
        tx,
        actor,
        held.map(({ container }) => container),
        day,
      );
      const households = steps.map(({ from }) => from);
      const id = await this.rings.create(tx, actor, { openUntil, createdAt: day.now, households, parts });
      await tell(tx, actor, 'swaps', id);
      await this.notices.give(tx, actor, {
        householdIds: households,
        kind: 'ring-found',
        facts: { households: await this.swaps.namesOf(tx, actor, households), answerAt: openUntil.toISOString() },
        subjectId: id,
      });
      await this.jobs.start(tx, actor, { kind: LAPSE_RING, subjectId: id, input: {}, dueAt: openUntil });
      made.push(id);
    }
    return made;
  }

  private async openUntil(tx: Tx, actor: Actor, cards: readonly ContainerCard[], day: CooperativeDay): Promise<Date> {
    const days = await this.swaps.swapDays(tx, actor, [...new Set(cards.map(({ roundId }) => roundId))]);
    const ends = days.map((date) => endOfDay(date, day.timeZone));
    return new Date(swapOpenUntil(day.now.getTime(), ends));
  }
}
