import { z } from 'zod';
import { id, instant, named, version } from './primitives.ts';
import { container } from './stock.ts';

/** Containers exchanged between two households; what one gives the other gets. `unfit`: subjects that make a container unfit for the receiver. */
export const swap = z
  .object({
    id,
    from: named,
    to: named,
    state: z.enum(['proposed', 'accepted', 'declined', 'withdrawn', 'lapsed', 'done']),
    words: z.string(),
    gives: z.array(container),
    gets: z.array(container),
    portionsGiven: z.int(),
    portionsGot: z.int(),
    openUntil: instant,
    createdAt: instant,
    answeredAt: instant.nullable(),
    version,
  })
  .meta({ id: 'Swap' });

/** Swaps of my household, and the containers that others hold and could be asked for. */
export const swapBoard = z
  .object({
    household: named,
    waitingForMe: z.array(swap),
    waitingForOthers: z.array(swap),
    ended: z.array(swap),
    mine: z.array(container),
    others: z.array(container),
  })
  .meta({ id: 'SwapBoard' });

/** A proposal: containers that my household gives and asks for; at least one on each side. Errors: `not-swappable`, `excluded-food`. */
export const proposeSwap = z
  .object({
    fromHouseholdId: id,
    toHouseholdId: id,
    giveContainerIds: z.array(id).min(1).max(20),
    getContainerIds: z.array(id).min(1).max(20),
    words: z.string().trim().max(300).default(''),
  })
  .meta({ id: 'ProposeSwap' });

/** Accept, decline (the other household) or withdraw (the proposer). `confirmWords` after a warning about what a diner must not eat. Errors: `swap-closed`, `not-swappable`, `excluded-food`. */
export const answerSwap = z
  .object({
    answer: z.enum(['accept', 'decline', 'withdraw']),
    confirmWords: z.string().trim().min(3).max(200).nullable().default(null),
  })
  .meta({ id: 'AnswerSwap' });
