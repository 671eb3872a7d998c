import { byCodeUnits } from '../canonical.ts';
import { abs, add, cmp, rational, sub, zero, type Rational } from '../rational.ts';
import { explainSwapMatch, type SwapStep } from '../swap-match/explain-swap-match.ts';
import type { SwapMatchInput } from '../swap-match/swap-input.ts';
import type { SwapMatch } from '../swap-match/swap-match.ts';

/** Containers that a household would hand to the next one of a ring. */
export interface RingStep {
  from: string;
  to: string;
  parts: { offer: string; want: string }[];
}

/** A ring to be proposed: households in the order of giving, one step from each. */
export interface RingProposal {
  steps: RingStep[];
}

/** What each household gives less what it gets, in portions. */
export function ringBalance(
  parts: readonly { giver: string; receiver: string; portions: Rational }[],
): Map<string, Rational> {
  const balance = new Map<string, Rational>();
  for (const { giver, receiver, portions } of parts) {
    balance.set(giver, add(balance.get(giver) ?? zero, portions));
    balance.set(receiver, sub(balance.get(receiver) ?? zero, portions));
  }
  return balance;
}

/** The households whom a ring would leave further ahead or short than the credit. */
export const overCredit = (balance: ReadonlyMap<string, Rational>, creditPortions: number): string[] =>
  [...balance].filter(([, portions]) => cmp(abs(portions), rational(BigInt(creditPortions))) > 0).map(([id]) => id);

/** The same ring begins with the same household, whoever comes first in it. */
function turned(ring: readonly SwapStep[]): SwapStep[] {
  const first = [...ring].map(({ from }) => from).sort(byCodeUnits)[0];
  const at = ring.findIndex(({ from }) => from === first);
  return [...ring.slice(at), ...ring.slice(0, at)];
}

/**
 * The rings of a matching, each as one proposal that its households accept or decline by itself.
 * Method: rings through the same households in the same order are one, as long as it stays within the credit; a ring that goes beyond the credit by itself, and
 * what the matching gives on credit outside of every ring, is left out. Ties: in the order of the matching. Our decision, ADR 56.
 * `match`: of matchSwaps for `input`; portions as there.
 */
export function ringProposals(match: SwapMatch, input: SwapMatchInput): RingProposal[] {
  const proposals = new Map<string, SwapStep[][]>();
  const isWithin = (rings: readonly SwapStep[][]): boolean => {
    const balance = ringBalance(
      rings.flat().map(({ from, to, portions }) => ({ giver: from, receiver: to, portions })),
    );
    return [...balance.values()].every((portions) => cmp(abs(portions), input.creditPortions) <= 0);
  };
  let alone = 0;
  for (const ring of explainSwapMatch(match, input).rings.map(turned)) {
    const key = JSON.stringify(ring.map(({ from }) => from));
    const together = [...(proposals.get(key) ?? []), ring];
    if (isWithin(together)) proposals.set(key, together);
    else if (isWithin([ring])) proposals.set(`${key} ${(alone += 1)}`, [ring]);
  }
  return [...proposals.values()].map((rings) => ({
    steps: (rings[0] ?? []).map(({ from, to }, place) => ({
      from,
      to,
      parts: rings.flatMap((ring) => {
        const step = ring[place];
        return step ? [{ offer: step.offer, want: step.want }] : [];
      }),
    })),
  }));
}

/** What a ring hands over, to tell whether it was proposed before: the same containers to the same households. */
export const ringKey = (parts: readonly { container: string; receiver: string }[]): string =>
  parts
    .map(({ container, receiver }) => `${container} ${receiver}`)
    .sort(byCodeUnits)
    .join(' ');
