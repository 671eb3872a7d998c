import type { ApiStage } from '../../lib/round-stage.ts';

/** Receipts come in from buying until the round is settled. */
export const mayEnterReceipt = (stage: ApiStage): boolean =>
  stage === 'buying' || stage === 'cooking' || stage === 'sharing';
/** An old line may be corrected afterwards too. */
export const mayCorrect = (stage: ApiStage): boolean => stage !== 'planning';
