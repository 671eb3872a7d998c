import type { Rational } from '../rational.ts';
import { cmp, div, max, min, rational, sub, sum, zero } from '../rational.ts';
import type { Shares } from './largest-remainder.ts';

const two = rational(2n);

/** Everyone gets the same, but nobody more than the limit: the exact amounts that sum to `total`. */
function equalUpTo(total: Rational, limits: Shares): Map<string, Rational> {
  const ascending = [...limits].sort(([, a], [, b]) => cmp(a, b));
  const amounts = new Map<string, Rational>();
  let left = total;
  ascending.forEach(([id, limit], index) => {
    const equal = div(left, rational(BigInt(ascending.length - index)));
    const amount = min(limit, equal);
    amounts.set(id, amount);
    left = sub(left, amount);
  });
  return amounts;
}

/**
 * Divides what is there among claims that are more: when the common fund cannot pay everyone back.
 * Method: the contested garment principle for any number of claims. Up to half of all claims everyone gains the same until it has half
 * its own; beyond, everyone loses the same until its loss is half its own. For two claims this is: what only one claims is his, what
 * both claim is halved. Source: Aumann and Maschler, Game theoretic analysis of a bankruptcy problem from the Talmud, J. Econ. Theory
 * 1985. `estate`: exact amount, not negative; `claims`: id to exact amount, none negative. Gives exact amounts that sum to the
 * estate, none above its claim; when the estate covers all claims everyone gets its claim. No tie can arise. Throws RangeError for a
 * negative estate or claim.
 */
export function estateDivision(estate: Rational, claims: Shares): Map<string, Rational> {
  if (estate.n < 0n || [...claims.values()].some(({ n }) => n < 0n)) {
    throw new RangeError('Neither the estate nor a claim can be negative.');
  }
  const claimed = sum(claims.values());
  if (cmp(estate, claimed) >= 0) return new Map(claims);
  const halves = new Map([...claims].map(([id, claim]) => [id, div(claim, two)]));
  const loss = sub(claimed, estate);
  if (cmp(estate, loss) <= 0) return equalUpTo(estate, halves);
  const losses = equalUpTo(max(loss, zero), halves);
  return new Map([...claims].map(([id, claim]) => [id, sub(claim, losses.get(id) ?? zero)]));
}
