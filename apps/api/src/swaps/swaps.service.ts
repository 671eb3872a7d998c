import { Injectable } from '@nestjs/common';
import { DomainError, refusalError, stateNow, swapOpenUntil, whyNotSwappable } from '@frostmoot/calc';
import type { proposeSwap } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireThere } from '../cooperatives/require-there.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { withoutPlace, type ContainerCard } from '../stock/container-card.ts';
import { endOfDay } from './end-of-day.ts';
import { OfferRepository } from './offer.repository.ts';
import { offerViews, OffersService } from './offers.service.ts';
import { RingJobs } from './ring-jobs.service.ts';
import { RingsService } from './rings.service.ts';
import { SwapRepository } from './swap.repository.ts';
import type { SwapPartRow, SwapRow } from './swap.repository.ts';
import { swapView } from './swap.view.ts';
import type { SwapBoardView, SwapView } from './swap.view.ts';

type Proposal = z.infer<typeof proposeSwap>;

/** How many swaps that have ended the board shows. */
const ENDED_SHOWN = 50;

/** The board of swaps, and proposals; what an answer does is in SwapAnswerService. */
@Injectable()
export class SwapsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly swaps: SwapRepository,
    private readonly containers: ContainerRepository,
    private readonly offers: OfferRepository,
    private readonly held: OffersService,
    private readonly rings: RingsService,
    private readonly searches: RingJobs,
    private readonly clock: Clock,
  ) {}

  async board(actor: Actor, householdId = actor.householdId): Promise<SwapBoardView> {
    requireHousehold(actor, householdId);
    const { isToPlan, ...board } = await this.unitOfWork.read(actor, async (tx) => {
      const household = await this.swaps.household(tx, actor, householdId);
      if (!household) throw new DomainError('not-found', 'There is no such household');
      const day = await dayOf(tx, actor, this.clock);
      const { now, today } = day;
      const rows = await this.swaps.ofHousehold(tx, actor, householdId, ENDED_SHOWN);
      const views = await this.views(tx, actor, rows, householdId, now);
      const waiting = views.filter(({ state }) => state === 'proposed');
      const held = await this.containers.held(tx, actor, now);
      const theirs = held.filter(({ holderId }) => holderId !== householdId);
      const fit = await this.containers.fitFor(
        tx,
        actor,
        theirs.map(({ id }) => id),
        householdId,
        today,
      );
      const mine = held.filter(({ holderId }) => holderId === householdId);
      // What somebody of the household must not eat is not held out to it.
      const others = theirs.filter(({ id }) => fit.has(id)).map((card) => withoutPlace(card, householdId));
      const offers = await this.offers.offers(tx, actor, now);
      const offered = new Set(offers.map(({ containerId }) => containerId));
      const theirOffers = others.filter(({ id }) => offered.has(id));
      const rings = await this.rings.ofHousehold(tx, actor, householdId, day, ENDED_SHOWN);
      return {
        household,
        waitingForMe: waiting.filter(({ to }) => to.id === householdId),
        waitingForOthers: waiting.filter(({ from }) => from.id === householdId),
        ended: views.filter(({ state }) => state !== 'proposed').slice(0, ENDED_SHOWN),
        rings: rings.filter(({ state }) => state === 'proposed'),
        endedRings: rings.filter(({ state }) => state !== 'proposed').slice(0, ENDED_SHOWN),
        offers: offerViews(offers, new Map(mine.map((card) => [card.id, card]))),
        wishes: await this.held.wishViews(tx, actor, householdId, theirOffers),
        mine,
        others,
        othersOffer: theirOffers.map(({ id }) => id),
        dishes: await this.offers.dishes(tx, actor, householdId),
        isToPlan: offers.length > 0 && (await this.searches.isToPlan(tx, actor, day)),
      };
    });
    if (isToPlan) void this.searches.planLater(actor);
    return board;
  }

  propose(actor: Actor, proposal: Proposal): Promise<SwapView> {
    requireHousehold(actor, proposal.fromHouseholdId);
    refuseMuddled(proposal);
    return this.unitOfWork.write(actor, async (tx) => {
      const { fromHouseholdId: from, toHouseholdId: to, words } = proposal;
      const day = await dayOf(tx, actor, this.clock);
      for (const id of [from, to]) await requireThere(tx, actor, id, day.today);
      await this.swaps.lapse(tx, actor, day.now);
      const parts = partsOf(proposal);
      const cards = await this.cardsOf(tx, actor, parts, day.now);
      const refusal = whyNotSwappable(
        parts.map(({ containerId, giverHouseholdId: giver }) => ({
          container: cards.get(containerId) as ContainerCard,
          giver,
        })),
      );
      if (refusal) throw refusalError(refusal);
      await this.refuseUnfit(tx, actor, proposal, day.today);
      await this.closeAnswered(tx, actor, proposal, day);
      const openUntil = await this.openUntil(tx, actor, [...cards.values()], day);
      const id = await this.swaps.create(tx, actor, {
        ...{ from, to, words, openUntil, createdAt: day.now, parts },
        answersId: proposal.answersId,
      });
      await tell(tx, actor, 'swaps', id);
      return this.viewIn(tx, actor, id, from, day.now);
    });
  }

  /** One swap inside a transaction, after what it changed. */
  async viewIn(tx: Tx, actor: Actor, id: string, householdId: string, now: Date): Promise<SwapView> {
    const row = (await this.swaps.find(tx, actor, id)) as SwapRow;
    const [view] = await this.views(tx, actor, [row], householdId, now);
    return view as SwapView;
  }

  /** The containers of these parts by id; all must be the cooperative's. */
  async cardsOf(tx: Tx, actor: Actor, parts: readonly SwapPartRow[], now: Date): Promise<Map<string, ContainerCard>> {
    const ids = parts.map(({ containerId }) => containerId);
    const cards = await this.containers.byIds(tx, actor, ids, now);
    if (cards.length < ids.length) throw new DomainError('not-found', 'There is no such container');
    return new Map(cards.map((card) => [card.id, card]));
  }

  private async views(
    tx: Tx,
    actor: Actor,
    rows: readonly SwapRow[],
    householdId: string,
    now: Date,
  ): Promise<SwapView[]> {
    const ids = rows.flatMap(({ parts }) => parts.map(({ containerId }) => containerId));
    const cards = await this.containers.byIds(tx, actor, [...new Set(ids)], now);
    const byId = new Map(cards.map((card) => [card.id, card]));
    return rows.map((row) => swapView(row, byId, householdId, now));
  }

  /** The proposal that this one answers is closed by it. */
  private async closeAnswered(tx: Tx, actor: Actor, proposal: Proposal, { now }: CooperativeDay): Promise<void> {
    if (proposal.answersId === null) return;
    const answered = await this.swaps.lock(tx, actor, proposal.answersId);
    const isBetween = answered?.to.id === proposal.fromHouseholdId && answered.from.id === proposal.toHouseholdId;
    if (!answered || !isBetween) throw new DomainError('not-found', 'There is no such swap');
    const open = { ...answered, openUntil: answered.openUntil.getTime(), from: answered.from.id, to: answered.to.id };
    const state = stateNow(open, now.getTime());
    if (state !== 'proposed') throw new DomainError('swap-closed', `This swap is ${state}.`, { params: { state } });
    await this.swaps.close(tx, actor, answered.id, 'answered', now);
    await tell(tx, actor, 'swaps', answered.id);
  }

  /** What the proposer asks for must be fit for it. Whether what it gives is fit is the other household's to know, and is asked of it alone. */
  private async refuseUnfit(tx: Tx, actor: Actor, proposal: Proposal, today: string): Promise<void> {
    const subjects = new Set<string>();
    for (const id of proposal.getContainerIds) {
      const found = await this.containers.excludedSubjects(tx, actor, id, proposal.fromHouseholdId, today);
      for (const subject of found) subjects.add(subject);
    }
    if (subjects.size === 0) return;
    const named = [...subjects].sort().join(', ');
    throw new DomainError('excluded-food', `Somebody of the household must not eat it: ${named}`, {
      params: { subjects: named },
    });
  }

  private async openUntil(
    tx: Tx,
    actor: Actor,
    cards: readonly ContainerCard[],
    { now, timeZone }: CooperativeDay,
  ): Promise<Date> {
    const rounds = [...new Set(cards.map(({ roundId }) => roundId))];
    const days = await this.swaps.swapDays(tx, actor, rounds);
    return new Date(
      swapOpenUntil(
        now.getTime(),
        days.map((date) => endOfDay(date, timeZone)),
      ),
    );
  }
}

const partsOf = ({ fromHouseholdId, toHouseholdId, giveContainerIds, getContainerIds }: Proposal): SwapPartRow[] => [
  ...giveContainerIds.map((containerId) => ({
    containerId,
    giverHouseholdId: fromHouseholdId,
    receiverHouseholdId: toHouseholdId,
  })),
  ...getContainerIds.map((containerId) => ({
    containerId,
    giverHouseholdId: toHouseholdId,
    receiverHouseholdId: fromHouseholdId,
  })),
];

function refuseMuddled({ fromHouseholdId, toHouseholdId, giveContainerIds, getContainerIds }: Proposal): void {
  const fault = (pointer: string, detail: string): DomainError =>
    new DomainError('invalid-input', detail, { errors: [{ pointer, detail }] });
  if (fromHouseholdId === toHouseholdId) throw fault('#/toHouseholdId', 'A household does not swap with itself');
  const all = [...giveContainerIds, ...getContainerIds];
  if (new Set(all).size < all.length) throw fault('#/getContainerIds', 'A container may be named only once');
}
