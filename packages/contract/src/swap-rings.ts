import { z } from 'zod';
import { id, instant, named, version } from './primitives.ts';
import { container } from './stock.ts';

/** A container that its household would give away. It ends by itself when the container is eaten or moves on. */
export const swapOffer = z.object({ id, container, inRing: z.boolean(), version }).meta({ id: 'SwapOffer' });
export const swapOffers = z.object({ items: z.array(swapOffer) }).meta({ id: 'SwapOffers' });

/** Holds containers out; those that are already held out stay so. Errors: `not-swappable`. */
export const offerContainers = z
  .object({ householdId: id, containerIds: z.array(id).min(1).max(50) })
  .meta({ id: 'OfferContainers' });

/**
 * Containers of a dish that my household would like to get, `score` how much (1 to 3). `offered`: containers of it that others hold out; `inRings`: containers
 * that wait in a ring; `unfit`: subjects for which somebody of my household must not eat it by now, so that it is passed over.
 */
export const swapWish = z
  .object({
    id,
    dish: named,
    containers: z.int(),
    score: z.int(),
    offered: z.int(),
    inRings: z.int(),
    unfit: z.array(z.string()),
    version,
  })
  .meta({ id: 'SwapWish' });

/** A wish; one for the same dish takes its place. Errors: `excluded-food`. */
export const addWish = z
  .object({
    householdId: id,
    recipeId: id,
    containers: z.int().min(1).max(20),
    score: z.int().min(1).max(3).default(2),
  })
  .meta({ id: 'AddWish' });

/** What one household of a ring hands to another. */
export const ringStep = z.object({ giver: named, receiver: named, containers: z.array(container) });

/**
 * A ring as one of its households sees it: everything happens when all have said yes, else nothing. `reason`: why it lapsed; `gone`: the container that was no
 * longer there; `unfit`: subjects for which somebody of my household must not eat what it would get by now; `version`: of my household's answer.
 */
export const swapRing = z
  .object({
    id,
    state: z.enum(['proposed', 'declined', 'lapsed', 'done']),
    reason: z.enum(['unanswered', 'gone', 'changed']).nullable(),
    gone: z.object({ dish: z.string(), code: z.string() }).nullable(),
    members: z.array(
      z.object({
        household: named,
        answer: z.enum(['accepted', 'declined']).nullable(),
        answeredAt: instant.nullable(),
        portionsGiven: z.int(),
        portionsGot: z.int(),
      }),
    ),
    steps: z.array(ringStep),
    unfit: z.array(z.string()),
    openUntil: instant,
    createdAt: instant,
    closedAt: instant.nullable(),
    version,
  })
  .meta({ id: 'SwapRing' });

/** My household's answer to a ring. Errors: `swap-closed`, `not-swappable`, `excluded-food`. */
export const answerRing = z
  .object({ householdId: id, answer: z.enum(['accept', 'decline']) })
  .meta({ id: 'AnswerRing' });
