import { z } from 'zod';
import { id, instant, named, version } from './primitives.ts';
import { container } from './stock.ts';
import { swapOffer, swapRing, swapWish } from './swap-rings.ts';

/** Containers exchanged between two households; what one gives the other gets. `answersId`: the proposal that this one answers, which is closed by it. */
export const swap = z
  .object({
    id,
    from: named,
    to: named,
    state: z.enum(['proposed', 'accepted', 'declined', 'withdrawn', 'lapsed', 'done', 'answered']),
    words: z.string(),
    gives: z.array(container),
    gets: z.array(container),
    portionsGiven: z.int(),
    portionsGot: z.int(),
    openUntil: instant,
    createdAt: instant,
    answeredAt: instant.nullable(),
    answersId: id.nullable(),
    version,
  })
  .meta({ id: 'Swap' });

/**
 * Swaps and rings of my household, what it holds out and wishes for, and the containers that others hold and could be asked for; `othersOffer`: ids of those that
 * they hold out. `dishes`: what may be wished for, by name.
 */
export const swapBoard = z
  .object({
    household: named,
    waitingForMe: z.array(swap),
    waitingForOthers: z.array(swap),
    ended: z.array(swap),
    rings: z.array(swapRing),
    endedRings: z.array(swapRing),
    offers: z.array(swapOffer),
    wishes: z.array(swapWish),
    mine: z.array(container),
    others: z.array(container),
    othersOffer: z.array(id),
    dishes: z.array(named),
  })
  .meta({ id: 'SwapBoard' });

/**
 * A proposal: containers that my household gives and asks for; at least one on each side. With `answersId` it answers a proposal that waits for my household
 * with another one. Errors: `not-swappable`, `excluded-food`, `swap-closed`.
 */
export const proposeSwap = z
  .object({
    fromHouseholdId: id,
    toHouseholdId: id,
    giveContainerIds: z.array(id).min(1).max(20),
    getContainerIds: z.array(id).min(1).max(20),
    words: z.string().trim().max(300).default(''),
    answersId: id.nullable().default(null),
  })
  .meta({ id: 'ProposeSwap' });

/** Accept, decline (the other household) or withdraw (the proposer). `confirmWords` after a warning about what a diner must not eat. Errors: `swap-closed`, `not-swappable`, `excluded-food`. */
export const answerSwap = z
  .object({
    answer: z.enum(['accept', 'decline', 'withdraw']),
    confirmWords: z.string().trim().min(3).max(200).nullable().default(null),
  })
  .meta({ id: 'AnswerSwap' });
