import type { Schemas } from './api/schemas.ts';

export type RoundSummary = Schemas['RoundSummary'];
export type Round = Schemas['Round'];
export type ApiStage = RoundSummary['stage'];

/** The six places of a round, as people see them. */
export type RoundStage = 'plan' | 'buy' | 'cook' | 'share-out' | 'swap' | 'account';

type Dates = Pick<RoundSummary, 'planUntil' | 'buyOn' | 'cookOn' | 'shareOn' | 'swapUntil' | 'settleOn'>;

/**
 * Where the round is on the strip. The books know five stages; while sharing, the strip also tells swapping from settling, by the date, since
 * containers may be swapped until then.
 */
export function stripStage(
  round: Dates & { stage: ApiStage; openPoints?: Round['openPoints'] },
  today: string,
): RoundStage {
  if (round.stage === 'planning') return 'plan';
  if (round.stage === 'buying') return 'buy';
  if (round.stage === 'cooking') return 'cook';
  if (round.stage === 'settled') return 'account';
  if (round.openPoints?.some(({ code }) => code === 'share-out-missing') ?? today <= round.shareOn) return 'share-out';
  return today <= round.swapUntil ? 'swap' : 'account';
}

const DAY_OF: Record<RoundStage, keyof Dates> = {
  plan: 'planUntil',
  buy: 'buyOn',
  cook: 'cookOn',
  'share-out': 'shareOn',
  swap: 'swapUntil',
  account: 'settleOn',
};

/** The last day of a step of the strip. */
export const dayOf = (dates: Dates, stage: RoundStage): string => dates[DAY_OF[stage]];

/** Stages whose date is a limit ("until"), where the others have a day ("on"). */
export const isUntil = (stage: RoundStage): boolean => stage === 'plan' || stage === 'swap';

/** The stage that the round moves to from the one it is in; undefined once settled. */
export function stageAfter(stage: ApiStage): ApiStage | undefined {
  const order: ApiStage[] = ['planning', 'buying', 'cooking', 'sharing', 'settled'];
  return order[order.indexOf(stage) + 1];
}

/** The page of a round on which its present work is done. */
export const PLACE_OF: Record<ApiStage, RoundStage> = {
  planning: 'plan',
  buying: 'buy',
  cooking: 'cook',
  sharing: 'share-out',
  settled: 'account',
};

/** The round that "Round" opens: the earliest that is not settled, else the last one; undefined where there is none. */
export function currentRound<R extends Pick<RoundSummary, 'number' | 'stage'>>(rounds: readonly R[]): R | undefined {
  const byNumber = [...rounds].sort((a, b) => a.number - b.number);
  return byNumber.find(({ stage }) => stage !== 'settled') ?? byNumber.at(-1);
}
