import { DomainError } from '../domain-error.ts';
import { dateOfDayNumber, dayNumber, formatDate, tryParseDate } from './civil-date.ts';

/** Milliseconds since 1970-01-01T00:00Z, a whole number. Days have 86,400 seconds: UTC's leap seconds are not counted, as in ECMA-262. */
export type Instant = number;

export const msPerMinute = 60_000;
export const msPerHour = 60 * msPerMinute;
const msPerDay = 24 * msPerHour;
const day1970 = dayNumber({ year: 1970, month: 1, day: 1 });

const isoInstant = /^(\d{4}-\d{2}-\d{2})T(\d{2}):(\d{2})(?::(\d{2})(?:\.(\d{1,3}))?)?Z$/;
const whole = (digits: string | undefined): number => Number(BigInt(digits ?? '0'));

/** The instant of an ISO 8601 text in UTC with a Z, `2026-11-28T09:00:00.000Z`; seconds and milliseconds may be left out. Undefined when there is none. */
export function tryParseInstant(text: string): Instant | undefined {
  const match = isoInstant.exec(text);
  const date = tryParseDate(match?.[1] ?? '');
  if (!match || !date) return undefined;
  const [hours, minutes, seconds] = [whole(match[2]), whole(match[3]), whole(match[4])];
  if (hours > 23 || minutes > 59 || seconds > 59) return undefined;
  const ms = whole(match[5]?.padEnd(3, '0'));
  return (dayNumber(date) - day1970) * msPerDay + hours * msPerHour + minutes * msPerMinute + seconds * 1000 + ms;
}

const digits = (value: number, length: number): string => value.toString().padStart(length, '0');

/** ISO 8601 in UTC with milliseconds, so that the order of the texts is the order of the instants. Error: `too-large` outside of the years 1 to 9999. */
export function formatInstant(instant: Instant): string {
  if (!Number.isSafeInteger(instant)) throw new DomainError('too-large', 'The instant cannot be written as a date.');
  const days = Math.floor(instant / msPerDay);
  const inDay = instant - days * msPerDay;
  const part = (unit: number, most: number): number => Math.floor(inDay / unit) % most;
  const time = [part(msPerHour, 24), part(msPerMinute, 60), part(1000, 60)].map((value) => digits(value, 2)).join(':');
  return `${formatDate(dateOfDayNumber(day1970 + days))}T${time}.${digits(inDay % 1000, 3)}Z`;
}
