import { DomainError } from '../domain-error.ts';

/** The stages of a round in their order; a round moves forward by one at a time and never back. */
export const roundStages = ['planning', 'buying', 'cooking', 'sharing', 'settled'] as const;
export type RoundStage = (typeof roundStages)[number];

/** The stage after this one; null after the last. */
export function nextStage(stage: RoundStage): RoundStage | null {
  return roundStages[roundStages.indexOf(stage) + 1] ?? null;
}

/**
 * Refuses an act that has no place in the round's stage.
 * `stage`: where the round is; `allowed`: where the act may be done; `act`: what it is, for the sentence. Throws `round-stage` with the params stage and allowed.
 */
export function requireStage(stage: RoundStage, allowed: readonly RoundStage[], act: string): void {
  if (allowed.includes(stage)) return;
  throw new DomainError('round-stage', `${act} is done while ${allowed.join(' or ')}; the round is ${stage}.`, {
    params: { stage, allowed: allowed.join(' ') },
  });
}

/** Stages in which receipts come in, and those in which an old line may still be corrected. */
export const receiptStages: readonly RoundStage[] = ['buying', 'cooking', 'sharing'];
export const correctionStages: readonly RoundStage[] = ['buying', 'cooking', 'sharing', 'settled'];
/** Stages in which what came out of a batch is entered. */
export const yieldStages: readonly RoundStage[] = ['cooking', 'sharing'];
