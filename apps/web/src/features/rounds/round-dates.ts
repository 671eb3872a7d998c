/** Dates of a round, each the last day of its step. */
export interface RoundDates {
  planUntil: string;
  buyOn: string;
  cookOn: string;
  shareOn: string;
  swapUntil: string;
  settleOn: string;
}

export const ROUND_DATES = ['planUntil', 'buyOn', 'cookOn', 'shareOn', 'swapUntil', 'settleOn'] as const;

const DAY_MS = 86_400_000;
const SATURDAY = 6;

const utc = (isoDate: string): number => Date.parse(`${isoDate}T00:00:00Z`);
export const addDays = (isoDate: string, days: number): string =>
  new Date(utc(isoDate) + days * DAY_MS).toISOString().slice(0, 10);
const weekdayOf = (isoDate: string): number => new Date(utc(isoDate)).getUTCDay();

/** The dates of a round around its cook day: planned by the Sunday before, bought the day before, shared out two days after, settled eight days after. */
export const datesAround = (cookOn: string): RoundDates => ({
  planUntil: addDays(cookOn, -6),
  buyOn: addDays(cookOn, -1),
  cookOn,
  shareOn: addDays(cookOn, 2),
  swapUntil: addDays(cookOn, 7),
  settleOn: addDays(cookOn, 8),
});

/**
 * A first proposal: the cook day falls on the weekday of the last one (Saturday where there is none), a week from today at the earliest and
 * after the last one.
 */
export function proposedDates(today: string, lastCookOn: string | undefined): RoundDates {
  const weekday = lastCookOn === undefined ? SATURDAY : weekdayOf(lastCookOn);
  const earliest =
    [addDays(today, 7), ...(lastCookOn === undefined ? [] : [addDays(lastCookOn, 1)])].sort().at(-1) ?? today;
  const wait = (weekday - weekdayOf(earliest) + 7) % 7;
  return datesAround(addDays(earliest, wait));
}

/** Names of the dates that lie before the date of the step before them. */
export function outOfOrder(dates: RoundDates): (keyof RoundDates)[] {
  return ROUND_DATES.filter((name, index) => {
    const before = ROUND_DATES[index - 1];
    return before !== undefined && dates[name] !== '' && dates[before] !== '' && dates[name] < dates[before];
  });
}
