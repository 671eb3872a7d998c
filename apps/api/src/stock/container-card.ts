import type { container, endCode } from '@frostmoot/contract';
import type { z } from 'zod';

/** A container as its label and the screens show it, with the round it comes from and when it ended. */
export type ContainerCard = z.infer<typeof container> & {
  batchId: string;
  /** what it is in: a swap that its holder has offered or is asked for, a ring, or on the board of what is held out */
  standing: 'offered' | 'asked' | 'ring' | 'held-out' | null;
  holderId: string | null;
  endedAt: string | null;
  endedCode: z.infer<typeof endCode> | null;
  endedReason: string | null;
};

/** As somebody of a household may see it: where it lies in another home is the holder's own business. */
export const withoutPlace = (card: ContainerCard, householdId: string): ContainerCard =>
  card.holderId === null || card.holderId === householdId ? card : { ...card, place: '' };
