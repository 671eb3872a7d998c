/** Days of the trade are written from their ISO date alone, so they are formatted as UTC days and no zone can shift them. */
const cache = new Map<string, Intl.DateTimeFormat>();

function dateFormat(locale: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = locale + JSON.stringify(options);
  const found = cache.get(key) ?? new Intl.DateTimeFormat(locale, options);
  cache.set(key, found);
  return found;
}

export type DayForm = 'short' | 'day' | 'long' | 'dated';

const FORMS: Record<DayForm, Intl.DateTimeFormatOptions> = {
  /** 28 Nov */
  short: { day: 'numeric', month: 'short' },
  /** Sat 28 Nov */
  day: { weekday: 'short', day: 'numeric', month: 'short' },
  /** Wednesday 25 November */
  long: { weekday: 'long', day: 'numeric', month: 'long' },
  /** 28 Feb 2027 */
  dated: { day: 'numeric', month: 'short', year: 'numeric' },
};

const utcDay = (isoDate: string): Date => new Date(`${isoDate}T00:00:00Z`);

export function formatDay(isoDate: string, locale: string, form: DayForm): string {
  return dateFormat(locale, { ...FORMS[form], timeZone: 'UTC' }).format(utcDay(isoDate));
}

/** The three lines of a tear-off: weekday, day of the month, month. */
export function dayParts(isoDate: string, locale: string): { weekday: string; day: string; month: string } {
  const part = (options: Intl.DateTimeFormatOptions) =>
    dateFormat(locale, { ...options, timeZone: 'UTC' }).format(utcDay(isoDate));
  return { weekday: part({ weekday: 'short' }), day: part({ day: 'numeric' }), month: part({ month: 'short' }) };
}

/** An instant's time of day in the cooperative's zone, 20:00. */
export function formatTime(instant: string, locale: string, timeZone: string): string {
  return dateFormat(locale, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23', timeZone }).format(
    new Date(instant),
  );
}

/** The local date on which an instant falls in the cooperative's zone, as an ISO date. */
export function localDateOf(instant: string, timeZone: string): string {
  return dateFormat('en-CA', { year: 'numeric', month: '2-digit', day: '2-digit', timeZone }).format(new Date(instant));
}

/** A wall-clock time of the cooperative ("09:00") in the locale's digits. */
export function formatClock(clock: string, locale: string): string {
  return dateFormat(locale, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23', timeZone: 'UTC' }).format(
    new Date(`1970-01-01T${clock.slice(0, 5)}:00Z`),
  );
}

/** Whether the viewer's clock differs from the cooperative's right now, so that its zone must be named beside a time. */
export function isForeignZone(timeZone: string, at: Date = new Date()): boolean {
  const here = dateFormat('en-GB', { dateStyle: 'short', timeStyle: 'short' }).format(at);
  return here !== dateFormat('en-GB', { dateStyle: 'short', timeStyle: 'short', timeZone }).format(at);
}

/** What people call a zone at an instant ("Lisbon Time", "GMT+2" where it has no name), for beside a time. */
export function zoneName(locale: string, timeZone: string, instant: string): string {
  const parts = dateFormat(locale, { timeZone, timeZoneName: 'longGeneric' }).formatToParts(new Date(instant));
  return parts.find(({ type }) => type === 'timeZoneName')?.value ?? timeZone;
}
