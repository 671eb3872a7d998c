import { addDays, dayNumber, formatDate, parseDate } from '../dates/civil-date.ts';

const someMonday = { year: 1970, month: 1, day: 5 };

/**
 * The first days of the week of `today` and of the weeks after it. A week begins on Monday (ISO 8601, section on week dates).
 * `today`: ISO 8601 date; `count`: how many weeks. Gives ISO dates in order. Throws RangeError for a date that is none.
 */
export function comingWeeks(today: string, count: number): string[] {
  const date = parseDate(today);
  const sinceMonday = (((dayNumber(date) - dayNumber(someMonday)) % 7) + 7) % 7;
  return Array.from({ length: count }, (_, week) => formatDate(addDays(date, week * 7 - sinceMonday)));
}
