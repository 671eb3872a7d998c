import { byCodeUnits } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { zero } from '../rational.ts';
import type { SwapMatchInput, SwapOffer, SwapWant } from './swap-input.ts';
import type { SwapMatch } from './swap-match.ts';

/** One container that a household hands to another. */
export interface SwapStep {
  from: string;
  to: string;
  offer: string;
  want: string;
  dish: string;
  portions: Rational;
}

/** Why a want is not met, or not in full: not eaten there, offered there, offered by nobody else, all given to others, or no room within credits and rings. */
export type UnmetReason = 'excluded' | 'offers-it' | 'not-offered' | 'all-given' | 'no-room';

export interface SwapMatchExplanation {
  /** each ring as the containers that are handed on in it */
  rings: SwapStep[][];
  /** containers that are in no ring: given, and owed for */
  onCredit: SwapStep[];
  unmet: { want: string; household: string; dish: string; missing: number; reason: UnmetReason }[];
  balance: { household: string; portions: Rational }[];
}

function reasonOf(input: SwapMatchInput, want: SwapWant, leftOf: (offer: SwapOffer) => number): UnmetReason {
  const { household, dish } = want;
  const offers = input.offers.filter((offer) => offer.dish === dish && offer.containers > 0);
  if (input.excludes.get(household)?.has(dish)) return 'excluded';
  if (input.offers.some((offer) => offer.household === household && offer.dish === dish)) return 'offers-it';
  if (offers.length === 0) return 'not-offered';
  return offers.every((offer) => leftOf(offer) === 0) ? 'all-given' : 'no-room';
}

/**
 * A matching as rings in which one hands the next a container, what is given on credit, and why wants are not met. Method: counts of the input and the result
 * only. `result`: of matchSwaps; `input`: what it was made from. Gives numbers and ids, no words.
 */
export function explainSwapMatch(result: SwapMatch, input: SwapMatchInput): SwapMatchExplanation {
  const offers = new Map(input.offers.map((offer) => [offer.id, offer]));
  const wants = new Map(input.wants.map((want) => [want.id, want]));
  const steps = result.moves.flatMap(({ offer, want, containers }): SwapStep[] => {
    const { household: from = '', dish = '', portions = zero } = offers.get(offer) ?? {};
    const to = wants.get(want)?.household ?? '';
    return Array.from({ length: containers }, () => ({ from, to, offer, want, dish, portions }));
  });
  const between = new Map<string, SwapStep[]>();
  for (const step of steps) {
    const key = JSON.stringify([step.from, step.to]);
    between.set(key, [...(between.get(key) ?? []), step]);
  }
  const rings = result.rings.map((ring) =>
    ring.flatMap((from, i) => between.get(JSON.stringify([from, ring[(i + 1) % ring.length]]))?.shift() ?? []),
  );
  const given = (offer: SwapOffer): number => steps.filter((step) => step.offer === offer.id).length;
  return {
    rings,
    onCredit: [...between.values()].flat(),
    unmet: [...input.wants]
      .sort((a, b) => byCodeUnits(a.id, b.id))
      .flatMap((want) => {
        const missing = want.containers - steps.filter((step) => step.want === want.id).length;
        if (missing === 0) return [];
        const reason = reasonOf(input, want, (offer) => offer.containers - given(offer));
        return [{ want: want.id, household: want.household, dish: want.dish, missing, reason }];
      }),
    balance: [...result.balance].map(([household, portions]) => ({ household, portions })),
  };
}
