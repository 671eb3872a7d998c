import { Injectable } from '@nestjs/common';
import { DomainError, refusalError, whyNotSwappable } from '@frostmoot/calc';
import type { addWish, offerContainers, swapOffer, swapOffers, swapWish } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireThere } from '../cooperatives/require-there.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import type { ContainerCard } from '../stock/container-card.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { OfferRepository } from './offer.repository.ts';
import type { OfferRow, WishRow } from './offer.repository.ts';
import { RingJobs } from './ring-jobs.service.ts';

type OfferView = z.infer<typeof swapOffer>;
type WishView = z.infer<typeof swapWish>;

/** What a household holds out, and what it would like to get for it. */
@Injectable()
export class OffersService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly offers: OfferRepository,
    private readonly containers: ContainerRepository,
    private readonly searches: RingJobs,
    private readonly clock: Clock,
  ) {}

  offer(
    actor: Actor,
    { householdId, containerIds }: z.infer<typeof offerContainers>,
  ): Promise<z.infer<typeof swapOffers>> {
    requireHousehold(actor, householdId);
    return this.unitOfWork.write(actor, async (tx) => {
      const { now, today } = await dayOf(tx, actor, this.clock);
      await requireThere(tx, actor, householdId, today);
      const ids = [...new Set(containerIds)];
      const cards = await this.containers.lock(tx, actor, ids, now);
      if (cards.length < ids.length) throw new DomainError('not-found', 'There is no such container');
      const refusal = whyNotSwappable(cards.map((container) => ({ container, giver: householdId })));
      if (refusal) throw refusalError(refusal);
      await this.offers.offer(tx, actor, householdId, ids);
      await this.searches.afterChange(tx, actor);
      await tell(tx, actor, 'swaps');
      return {
        items: offerViews(await this.offers.offers(tx, actor, now), new Map(cards.map((card) => [card.id, card]))),
      };
    });
  }

  /** What waits in a ring is taken out of it by declining that. */
  takeBack(actor: Actor, id: string, version: number): Promise<null> {
    return this.unitOfWork.write(actor, async (tx) => {
      const offer = await this.offers.findOffer(tx, actor, id);
      if (!offer) throw new DomainError('not-found', 'There is no such offer');
      requireHousehold(actor, offer.householdId);
      const changed = await this.offers.takeBack(tx, actor, id, version, this.clock.now());
      if (!changed) requireVersion(offer.version, 0);
      await tell(tx, actor, 'swaps');
      return null;
    });
  }

  wish(actor: Actor, wish: z.infer<typeof addWish>): Promise<WishView> {
    requireHousehold(actor, wish.householdId);
    return this.unitOfWork.write(actor, async (tx) => {
      await requireThere(tx, actor, wish.householdId, (await dayOf(tx, actor, this.clock)).today);
      if (!(await this.offers.hasRecipe(tx, actor, wish.recipeId)))
        throw new DomainError('not-found', 'There is no such dish');
      const unfit = await this.offers.unfitDish(tx, actor, wish.recipeId, wish.householdId);
      if (unfit.length > 0) {
        const subjects = unfit.join(', ');
        throw new DomainError('excluded-food', `Somebody of the household must not eat it: ${subjects}`, {
          params: { subjects },
        });
      }
      const id = await this.offers.wish(tx, actor, wish);
      await this.searches.afterChange(tx, actor);
      await tell(tx, actor, 'swaps');
      const views = await this.wishViews(tx, actor, wish.householdId, null);
      return views.find((view) => view.id === id) as WishView;
    });
  }

  removeWish(actor: Actor, id: string, version: number): Promise<null> {
    return this.unitOfWork.write(actor, async (tx) => {
      const wish = await this.offers.findWish(tx, actor, id);
      if (!wish) throw new DomainError('not-found', 'There is no such wish');
      requireHousehold(actor, wish.householdId);
      const changed = await this.offers.removeWish(tx, actor, id, version, this.clock.now());
      if (!changed) requireVersion(wish.version, 0);
      await tell(tx, actor, 'swaps');
      return null;
    });
  }

  /** The wishes of a household; `fitOffered`: what others hold out that it may eat, read when null. */
  async wishViews(
    tx: Tx,
    actor: Actor,
    householdId: string,
    fitOffered: readonly ContainerCard[] | null,
  ): Promise<WishView[]> {
    const now = this.clock.now();
    const rows = await this.offers.wishes(tx, actor, now, householdId);
    const offered =
      fitOffered ?? (await this.containers.byIds(tx, actor, await this.idsOffered(tx, actor, householdId), now));
    return rows.map((row) => wishView(row, offered));
  }

  private async idsOffered(tx: Tx, actor: Actor, otherThan: string): Promise<string[]> {
    const rows = await this.offers.offers(tx, actor, this.clock.now());
    return rows.filter(({ householdId }) => householdId !== otherThan).map(({ containerId }) => containerId);
  }
}

/** Offers of the containers that are given, by best-before as those are. */
export const offerViews = (rows: readonly OfferRow[], cards: ReadonlyMap<string, ContainerCard>): OfferView[] => {
  const byContainer = new Map(rows.map((row) => [row.containerId, row]));
  return [...cards.values()].flatMap((container) => {
    const row = byContainer.get(container.id);
    return row ? [{ id: row.id, container, inRing: row.inRing, version: row.version }] : [];
  });
};

const wishView = (row: WishRow, offered: readonly ContainerCard[]): WishView => ({
  id: row.id,
  dish: row.dish,
  containers: row.containers,
  score: row.score,
  offered: row.unfit.length > 0 ? 0 : offered.filter(({ recipeId }) => recipeId === row.dish.id).length,
  inRings: row.inRings,
  unfit: row.unfit,
  version: row.version,
});
