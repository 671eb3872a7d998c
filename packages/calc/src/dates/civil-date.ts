import { DomainError } from '../domain-error.ts';

/** A day of the proleptic Gregorian calendar, without a time or a zone. */
export interface CivilDate {
  readonly year: number;
  readonly month: number;
  readonly day: number;
}

const isLeapYear = (year: number): boolean => year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);

/** The days of a month, 1 = January. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) return isLeapYear(year) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

const isoDate = /^(\d{4})-(\d{2})-(\d{2})$/;

/** The date that an ISO 8601 text names, or undefined when no such day exists (years 1 to 9999). */
export function tryParseDate(text: string): CivilDate | undefined {
  const match = isoDate.exec(text);
  if (!match) return undefined;
  const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])];
  if (year < 1 || month < 1 || month > 12 || day < 1 || day > daysInMonth(year, month)) return undefined;
  return { year, month, day };
}

export const isCivilDate = (text: string): boolean => tryParseDate(text) !== undefined;

/** The date of an ISO 8601 text. Throws RangeError when there is no such day. */
export function parseDate(text: string): CivilDate {
  const date = tryParseDate(text);
  if (!date) throw new RangeError(`Not a calendar date: ${text.slice(0, 40)}`);
  return date;
}

/** ISO 8601, `2026-02-28`. Throws DomainError `too-large` outside of the years 1 to 9999. */
export function formatDate({ year, month, day }: CivilDate): string {
  if (year < 1 || year > 9999) throw new DomainError('too-large', `The year ${year} cannot be written as a date.`);
  return `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/**
 * The number of days since 1 March of the year 0, so that a leap day is the last day of its year.
 * Source: the era-based count of days in a proleptic Gregorian calendar (400 years are 146,097 days). Whole numbers throughout.
 */
export function dayNumber({ year, month, day }: CivilDate): number {
  const marchYear = month > 2 ? year : year - 1;
  const monthFromMarch = (month + 9) % 12;
  const dayOfYear = Math.trunc((153 * monthFromMarch + 2) / 5) + day - 1;
  return (
    365 * marchYear + Math.floor(marchYear / 4) - Math.floor(marchYear / 100) + Math.floor(marchYear / 400) + dayOfYear
  );
}

/** The date of a day number; the inverse of `dayNumber`. */
export function dateOfDayNumber(number: number): CivilDate {
  const era = Math.floor(number / 146_097);
  const dayOfEra = number - era * 146_097;
  const yearOfEra = Math.trunc(
    (dayOfEra - Math.trunc(dayOfEra / 1460) + Math.trunc(dayOfEra / 36_524) - Math.trunc(dayOfEra / 146_096)) / 365,
  );
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.trunc(yearOfEra / 4) - Math.trunc(yearOfEra / 100));
  const monthFromMarch = Math.trunc((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.trunc((153 * monthFromMarch + 2) / 5) + 1;
  const month = monthFromMarch < 10 ? monthFromMarch + 3 : monthFromMarch - 9;
  return { year: yearOfEra + era * 400 + (month <= 2 ? 1 : 0), month, day };
}

/** The whole days from one date to another; negative when the second is earlier. */
export const daysBetween = (from: CivilDate, to: CivilDate): number => dayNumber(to) - dayNumber(from);

/** The date so many days later. */
export const addDays = (date: CivilDate, days: number): CivilDate => dateOfDayNumber(dayNumber(date) + days);

/** The date so many calendar months later; a day that the month does not have becomes its last one (31 January + 1 is 28 February). */
export function addMonths({ year, month, day }: CivilDate, months: number): CivilDate {
  const index = year * 12 + (month - 1) + months;
  const toYear = Math.floor(index / 12);
  const toMonth = index - toYear * 12 + 1;
  return { year: toYear, month: toMonth, day: Math.min(day, daysInMonth(toYear, toMonth)) };
}
