import type { Rational } from '../rational.ts';
import { abs, add, cmp, floor, one, rational, sub, sum, zero } from '../rational.ts';
import { drawOrder } from './draw.ts';
import type { Shares, Wholes } from './largest-remainder.ts';
import { largestRemainder } from './largest-remainder.ts';

/** What everyone gets in whole numbers, and what they are still owed (positive) or have had too much (negative), less than one. */
export interface CarriedAllocation {
  amounts: Wholes;
  carried: Map<string, Rational>;
}

/**
 * Whole numbers for exact shares, where the rounding of earlier allocations is made good: largestRemainder of share + carried, and the
 * new carried is share + carried - amount.
 * `shares`: id to exact share, summing to a whole number; `carried`: id to exact number; `seed`: any text. The amounts sum to what the
 * shares sum to, only who has a share gets an amount, and shares and carried together are kept: nothing is lost. Whether everyone's
 * carried stays below one is the business of settleCarried, because the people of one allocation alone cannot always see to it: two
 * that each come with 9/10 and share a whole number must take 18/10 along.
 */
export function allocateWithCarry(shares: Shares, carried: Shares, seed: string): CarriedAllocation {
  const total = sum(shares.values());
  if (total.d !== 1n) throw new RangeError('The shares must sum to a whole number.');
  const wanted = new Map([...shares].map(([id, share]) => [id, add(share, carried.get(id) ?? zero)]));
  const amounts = largestRemainder(wanted, total.n, seed);
  const after = new Map(carried);
  for (const [id, value] of wanted) after.set(id, sub(value, rational(amounts.get(id) ?? 0n)));
  return { amounts, carried: after };
}

/**
 * Moves whole units between people until everyone's carried is less than one in size.
 * Method: whoever has one or more gives its unit to whoever has least, and whoever has minus one or less takes one from whoever has most;
 * equals by lot. `carried`: id to exact number; `seed`: any text. Gives `moved` (id to whole units received, summing to nil, empty when
 * nothing was needed) and the new `carried` with the same sum. Proof that it ends below one whenever the sum is nil: if somebody has 1 or
 * more, the others sum to -1 or less, so somebody is below nil; one unit moved brings both nearer to nil or leaves the second below one;
 * the sum of squares falls by 2 (most - least - 1) > 0 each time, by multiples of a fixed fraction, so it stops, and it stops only then.
 */
export function settleCarried(carried: Shares, seed: string): { moved: Wholes; carried: Map<string, Rational> } {
  const after = new Map(carried);
  const moved: Wholes = new Map();
  const order = drawOrder(seed, carried.keys());
  const value = (id: string): Rational => after.get(id) ?? zero;
  for (;;) {
    const least = order.reduce((a, b) => (cmp(value(b), value(a)) < 0 ? b : a), order[0] ?? '');
    const most = order.reduce((a, b) => (cmp(value(b), value(a)) > 0 ? b : a), order[0] ?? '');
    const within = cmp(abs(value(least)), one) < 0 && cmp(abs(value(most)), one) < 0;
    // When the sum is not nil there may be no such state; then it stops where a move would no longer bring the two nearer.
    if (within || cmp(sub(value(most), value(least)), one) <= 0) return { moved: withoutNil(moved), carried: after };
    after.set(most, sub(value(most), one));
    after.set(least, add(value(least), one));
    moved.set(most, (moved.get(most) ?? 0n) + 1n);
    moved.set(least, (moved.get(least) ?? 0n) - 1n);
  }
}

const withoutNil = (wholes: Wholes): Wholes => new Map([...wholes].filter(([, units]) => units !== 0n));

/** A carried fraction stays exact while its denominator has at most 24 digits, so that it can always be written and read again. */
export const largestCarriedDenominator = 10n ** 24n;

/** Beyond that it is kept in whole ones of these. */
const snapsPerUnit = 10n ** 12n;

/**
 * Carried fractions whose denominators have grown over many allocations, in millionths of a millionth; untouched while every denominator is
 * small. Method: everyone to floor or ceiling by largestRemainder, so that their sum stays what it was; what of it is no whole number of
 * those is `common`, for the common account. `carried`: id to exact number; `seed`: any text. Nobody moves by a millionth of a millionth.
 */
export function snapCarried(carried: Shares, seed: string): { carried: Map<string, Rational>; common: Rational } {
  if ([...carried.values()].every(({ d }) => d <= largestCarriedDenominator)) {
    return { carried: new Map(carried), common: zero };
  }
  const scaled = new Map([...carried].map(([id, { n, d }]) => [id, rational(n * snapsPerUnit, d)]));
  const exactTotal = sum(scaled.values());
  const total = floor(exactTotal);
  const whole = largestRemainder(scaled, total, seed);
  const { n, d } = sub(exactTotal, rational(total));
  return {
    carried: new Map([...whole].map(([id, units]) => [id, rational(units, snapsPerUnit)])),
    common: rational(n, d * snapsPerUnit),
  };
}
