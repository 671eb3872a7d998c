import { addDays, dayNumber, formatDate, parseDate } from '../dates/civil-date.ts';

const someMonday = { year: 1970, month: 1, day: 5 };

/**
 * The first days of the week of `today` and of the weeks after it. A week begins on Monday (ISO 8601, section on week dates).
 * `today`: ISO 8601 date; `count`: how many weeks. Gives ISO dates in order. Throws RangeError for a date that is none.
 */
export function comingWeeks(today: string, count: number): string[] {
  const monday = parseDate(mondayOf(today));
  return Array.from({ length: count }, (_, week) => formatDate(addDays(monday, week * 7)));
}

/** The first day of the week of an ISO 8601 date. Throws RangeError for a date that is none. */
export function mondayOf(day: string): string {
  const date = parseDate(day);
  const sinceMonday = (((dayNumber(date) - dayNumber(someMonday)) % 7) + 7) % 7;
  return formatDate(addDays(date, -sinceMonday));
}
