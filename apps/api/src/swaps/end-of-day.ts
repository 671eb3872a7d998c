import { localToday } from '../platform/clock/local-today.ts';
import { fromDate, toDate } from '../platform/db/dates.ts';

const hour = 3_600_000;
const minute = 60_000;

/**
 * The instant, in milliseconds since 1970 in UTC, at which a local date is over in an IANA time zone.
 * Searched for, since a day has 23 to 25 hours and some zones have none of a date: no zone is further than 14 hours from UTC.
 */
export function endOfDay(localDate: string, timeZone: string): number {
  // As an instant, since the day after the last one that a date can name has no date.
  const next = Date.parse(`${localDate}T00:00:00Z`) + 24 * hour;
  let [before, after] = [(next - 15 * hour) / minute, (next + 15 * hour) / minute];
  while (after - before > 1) {
    const middle = Math.floor((before + after) / 2);
    const day = localToday(new Date(middle * minute), timeZone);
    if (day.length > localDate.length || day > localDate) after = middle;
    else before = middle;
  }
  return after * minute;
}

/** The local date before. */
export const dayBefore = (localDate: string): string => fromDate(new Date(toDate(localDate).getTime() - 24 * hour));
