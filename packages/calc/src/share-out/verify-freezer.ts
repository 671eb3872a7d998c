import type { Rational } from '../rational.ts';
import { add, cmp, mul, rational, sum, zero } from '../rational.ts';
import type { ShareHousehold, ShareLot } from './share-out-input.ts';

interface Beside {
  lot: ShareLot;
  /** what one container counts */
  worth: Rational;
  /** containers that nobody holds */
  free: number;
}

/** Spaces that are told apart at most; with more, how the freezer is filled best is not recomputed one container at a time. */
const mostSpaces = 2_000_000;

/**
 * The most portions that a household can store with what it holds, recomputed one container after another: for checking only, and shared with no computation
 * that it checks. Gives undefined without a limit.
 */
export function fullestFreezer(household: ShareHousehold, beside: readonly Beside[]): Rational | undefined {
  const { freezerMl, holds, excludes } = household;
  if (freezerMl === undefined) return undefined;
  const heldOf = ({ lot }: Beside): number => holds.get(lot.id) ?? 0;
  const stored = sum(beside.map((item) => mul(rational(BigInt(heldOf(item))), item.worth)));
  const room = freezerMl - beside.reduce((ml, item) => ml + heldOf(item) * (item.lot.containerMl ?? 0), 0);
  let best = new Map<number, Rational>([[0, zero]]);
  for (const { lot, worth, free } of beside) {
    const ml = lot.containerMl ?? 0;
    if (excludes.has(lot.dish) || worth.n === 0n) continue;
    for (let taken = 0; taken < free && taken * ml <= room; taken++) {
      const next = new Map(best);
      for (const [used, total] of best) {
        const more = add(total, worth);
        const known = next.get(used + ml);
        if (used + ml <= room && (!known || cmp(known, more) < 0)) next.set(used + ml, more);
      }
      if (next.size > mostSpaces) break;
      best = next;
    }
  }
  return add(
    stored,
    [...best.values()].reduce((a, b) => (cmp(a, b) >= 0 ? a : b)),
  );
}
