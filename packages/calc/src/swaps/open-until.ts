const threeDays = 3 * 24 * 60 * 60 * 1000;

/**
 * Until when a proposal of a swap waits for its answer.
 * Our decision: three days, but not beyond the end of the swap days of a round whose containers it moves; a round whose swap days are over does not count,
 * since what is in a freezer may be swapped at any time. `now`, `swapDaysEnd`: milliseconds since 1970 in UTC, and so is the answer.
 */
export function swapOpenUntil(now: number, swapDaysEnd: readonly number[]): number {
  return Math.min(now + threeDays, ...swapDaysEnd.filter((end) => end > now));
}
