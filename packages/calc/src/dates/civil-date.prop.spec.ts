import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  addDays,
  addMonths,
  dateOfDayNumber,
  dayNumber,
  daysBetween,
  daysInMonth,
  formatDate,
  parseDate,
  tryParseDate,
} from './civil-date.ts';

const millisecondsPerDay = 86_400_000;
const day = fc.integer({ min: -719_162, max: 2_932_896 });
/** The platform's own proleptic Gregorian calendar, in UTC: the reference. */
const isoOf = (daysSince1970: number): string =>
  new Date(daysSince1970 * millisecondsPerDay).toISOString().slice(0, 10);

describe('civil dates, from the year 1 to 9999', () => {
  it('agree with the ECMAScript calendar (ECMA-262, Date in UTC)', () => {
    fc.assert(
      fc.property(day, fc.integer({ min: 0, max: 5000 }), (start, days) => {
        fc.pre(start + days <= 2_932_896);
        const date = parseDate(isoOf(start));
        expect(formatDate(addDays(date, days))).toBe(isoOf(start + days));
        expect(daysBetween(date, parseDate(isoOf(start + days)))).toBe(days);
        expect(dateOfDayNumber(dayNumber(date))).toEqual(date);
      }),
    );
  });

  it('add months without leaving the month, and only ever shorten the day', () => {
    fc.assert(
      fc.property(day, fc.integer({ min: -24, max: 24 }), (start, months) => {
        const date = parseDate(isoOf(start));
        const later = addMonths(date, months);
        expect(later.year * 12 + later.month).toBe(date.year * 12 + date.month + months);
        expect(later.day).toBe(Math.min(date.day, daysInMonth(later.year, later.month)));
      }),
    );
  });

  it('refuse texts that name no day', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 9999 }),
        fc.integer({ min: 0, max: 99 }),
        fc.integer({ min: 0, max: 99 }),
        (y, m, d) => {
          const text = [String(y).padStart(4, '0'), String(m).padStart(2, '0'), String(d).padStart(2, '0')].join('-');
          const exists = !Number.isNaN(Date.parse(text)) && new Date(text).toISOString().slice(0, 10) === text;
          expect(tryParseDate(text) !== undefined).toBe(exists);
        },
      ),
    );
  });
});
