import { invalidInput } from '../input.ts';

/** The last day of each step of a round, ISO 8601 local dates. */
export interface RoundDates {
  planUntil: string;
  buyOn: string;
  cookOn: string;
  shareOn: string;
  swapUntil: string;
  settleOn: string;
}

const order = ['planUntil', 'buyOn', 'cookOn', 'shareOn', 'swapUntil', 'settleOn'] as const;

/** Refuses dates that are out of order, each at its own place. Two steps may fall on one day. Throws `invalid-input`. */
export function checkRoundDates(dates: RoundDates): void {
  const faults = order.flatMap((name, index) => {
    const before = order[index - 1];
    return before !== undefined && dates[name] < dates[before]
      ? [{ pointer: `#/${name}`, detail: `Must not be before ${before} (${dates[before]}).` }]
      : [];
  });
  if (faults.length > 0) throw invalidInput(faults);
}
