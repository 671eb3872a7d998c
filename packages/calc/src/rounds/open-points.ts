import type { Rational } from '../rational.ts';
import { cmp, format, isZero, parse, rational, sub } from '../rational.ts';
import { mayEat } from './cost-shares.ts';
import type { RoundStage } from './stages.ts';

export type OpenPointCode =
  | 'no-dish'
  | 'portions-short'
  | 'no-offer'
  | 'freezer-short'
  | 'nothing-fit'
  | 'no-kitchen'
  | 'yield-missing'
  | 'no-receipt'
  | 'share-out-missing'
  | 'swap-open'
  | 'pool-left';
export type RemedyKind =
  'add-batch' | 'enter-yield' | 'enter-receipt' | 'confirm-share-out' | 'answer-swap' | 'add-offer' | 'set-kitchen';
type Facts = Record<string, string | number>;

/** Something that does not add up: its numbers, what would set it right, and whether the round may move on with it. */
export interface OpenPoint {
  code: OpenPointCode;
  blocks: boolean;
  facts: Facts;
  remedy: { kind: RemedyKind; facts: Facts } | null;
}

/** Everything about a round that its open points follow from. */
export interface RoundState {
  stage: RoundStage;
  dishes: readonly {
    id: string;
    recipeId: string;
    name: string;
    batches: number;
    portionsPerBatch: number;
    unfitFor: readonly string[];
    /** what one batch more would cost, when that is known */
    batchMoreMinor: bigint | null;
  }[];
  portionsWanted: Rational;
  participants: readonly { householdId: string; name: string; weight: string; mustNot: readonly string[] }[];
  withoutOffer: readonly { ingredientId: string; name: string; needed: Rational; unit: string }[];
  freezerNeededMl: number;
  /** null: somebody's freezer is not known */
  freezerFreeMl: number | null;
  cookDays: number;
  receipts: number;
  openBatches: readonly { id: string; lotCode: string; name: string }[];
  shareOutConfirmed: boolean;
  openSwaps: number;
  pool: { containers: number; portions: number };
}

const point = (code: OpenPointCode, blocks: boolean, facts: Facts, remedy: OpenPoint['remedy'] = null): OpenPoint => ({
  code,
  blocks,
  facts,
  remedy,
});

/** The dish of which one batch more closes the gap at the least cost; if none closes it, the one that gives most; equals by name. */
function batchToAdd(dishes: RoundState['dishes'], short: Rational): OpenPoint['remedy'] {
  const closes = (dish: RoundState['dishes'][number]): boolean =>
    cmp(rational(BigInt(dish.portionsPerBatch)), short) >= 0;
  const price = (dish: RoundState['dishes'][number]): bigint => dish.batchMoreMinor ?? 10n ** 18n;
  const [best] = [...dishes].sort((a, b) => {
    if (closes(a) !== closes(b)) return closes(a) ? -1 : 1;
    const gives = closes(a) ? 0 : b.portionsPerBatch - a.portionsPerBatch;
    const costs = price(a) < price(b) ? -1 : price(a) > price(b) ? 1 : 0;
    return gives || costs || (a.name < b.name ? -1 : 1);
  });
  if (!best) return null;
  const cost: Facts = best.batchMoreMinor === null ? {} : { costMinor: best.batchMoreMinor.toString() };
  const { id, recipeId, name, batches, portionsPerBatch } = best;
  return {
    kind: 'add-batch',
    facts: { dishId: id, recipeId, dish: name, batches, portions: portionsPerBatch, ...cost },
  };
}

function plannedPoints(state: RoundState): OpenPoint[] {
  const { stage, dishes, portionsWanted, participants } = state;
  if (dishes.length === 0) return [point('no-dish', true, { wanted: format(portionsWanted) })];
  const planned = dishes.reduce((total, dish) => total + dish.batches * dish.portionsPerBatch, 0);
  const short = sub(portionsWanted, rational(BigInt(planned)));
  const points: OpenPoint[] = [];
  if (cmp(short, rational(0n)) > 0) {
    const facts = { wanted: format(portionsWanted), planned, short: format(short) };
    points.push(point('portions-short', false, facts, stage === 'planning' ? batchToAdd(dishes, short) : null));
  }
  for (const { householdId, name, weight, mustNot } of participants) {
    const fits = dishes.some(({ unfitFor }) => mayEat(mustNot, unfitFor));
    if (!fits && !isZero(parse(weight))) points.push(point('nothing-fit', false, { householdId, household: name }));
  }
  return points;
}

function offerPoints({ stage, withoutOffer }: RoundState): OpenPoint[] {
  if (stage !== 'planning') return [];
  return withoutOffer.map(({ ingredientId, name, needed, unit }) => {
    const facts = { ingredientId, ingredient: name, needed: format(needed), unit };
    return point('no-offer', true, facts, { kind: 'add-offer', facts: { ingredientId } });
  });
}

function spacePoints({ stage, freezerNeededMl, freezerFreeMl, cookDays }: RoundState): OpenPoint[] {
  if (stage === 'sharing' || stage === 'settled') return [];
  const points: OpenPoint[] = [];
  if (freezerFreeMl !== null && freezerNeededMl > freezerFreeMl) {
    const facts = { neededMl: freezerNeededMl, freeMl: freezerFreeMl, shortMl: freezerNeededMl - freezerFreeMl };
    points.push(point('freezer-short', false, facts));
  }
  if (cookDays === 0) points.push(point('no-kitchen', false, {}, { kind: 'set-kitchen', facts: {} }));
  return points;
}

function sharingPoints({ stage, shareOutConfirmed, openBatches, openSwaps, pool }: RoundState): OpenPoint[] {
  if (stage !== 'sharing') return [];
  const points: OpenPoint[] = [];
  // Where everything was thrown away there is nothing to share out, and the round must still come to its end.
  const nothingMade = openBatches.length === 0 && pool.containers === 0;
  if (!shareOutConfirmed && !nothingMade)
    points.push(point('share-out-missing', true, {}, { kind: 'confirm-share-out', facts: {} }));
  if (openSwaps > 0) points.push(point('swap-open', true, { swaps: openSwaps }, { kind: 'answer-swap', facts: {} }));
  if (shareOutConfirmed && pool.containers > 0) points.push(point('pool-left', false, pool));
  return points;
}

/**
 * What does not add up in a round, in the order in which it should be looked at, each with its numbers and what would set it right.
 * Our decision which of them keep the round from moving on: without a dish or an offer nothing can be bought, without a receipt nothing is paid,
 * without what came out of every batch nothing can be shared, and without a confirmed share-out of what there is or with a swap that waits nothing can be settled.
 */
export function openPoints(state: RoundState): OpenPoint[] {
  const { stage, receipts, openBatches } = state;
  if (stage === 'settled') return [];
  const points = stage === 'sharing' ? [] : plannedPoints(state);
  points.push(...offerPoints(state), ...spacePoints(state));
  if (receipts === 0 && (stage === 'buying' || stage === 'sharing')) {
    points.push(point('no-receipt', true, {}, { kind: 'enter-receipt', facts: {} }));
  }
  if (stage === 'cooking' || stage === 'sharing') {
    for (const { id, lotCode, name } of openBatches) {
      const facts = { batchId: id, lotCode, dish: name };
      points.push(point('yield-missing', true, facts, { kind: 'enter-yield', facts }));
    }
  }
  return [...points, ...sharingPoints(state)];
}
