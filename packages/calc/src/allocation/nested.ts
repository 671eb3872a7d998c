import { byCodeUnits } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, rational, zero } from '../rational.ts';

/**
 * Shares of a cost that grows with the greatest need: the longest drive, the highest delivery tier, the biggest pot that must be hired.
 * Method: the airport rule. Everybody who needs a stretch pays an equal part of it; this is the Shapley value of the game. Source:
 * Littlechild and Owen, A simple expression for the Shapley value in a special case, Management Science 1973. `needs`: id to the cost of
 * its need alone, in minor units, none negative. Gives exact shares that sum to the greatest need, none above its own need. No tie can
 * arise: equal needs pay equally. Throws RangeError for a negative need.
 */
export function nestedShares(needs: ReadonlyMap<string, bigint>): Map<string, Rational> {
  const ascending = [...needs].sort(([a, x], [b, y]) => (x < y ? -1 : x > y ? 1 : byCodeUnits(a, b)));
  const shares = new Map<string, Rational>();
  let reached = 0n;
  let share = zero;
  ascending.forEach(([id, need], index) => {
    if (need < 0n) throw new RangeError('A need cannot be negative.');
    share = add(share, rational(need - reached, BigInt(ascending.length - index)));
    reached = need;
    shares.set(id, share);
  });
  return shares;
}
