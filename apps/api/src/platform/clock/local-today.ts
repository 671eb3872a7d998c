const formats = new Map<string, Intl.DateTimeFormat>();

/** Whether the time zone has an IANA name that this machine knows. */
export function isTimeZone(timeZone: string): boolean {
  try {
    formatOf(timeZone);
    return true;
  } catch {
    return false;
  }
}

/** The local date of an instant in an IANA time zone, as 'YYYY-MM-DD'. */
export function localToday(now: Date, timeZone: string): string {
  const parts = Object.fromEntries(
    formatOf(timeZone)
      .formatToParts(now)
      .map((part) => [part.type, part.value]),
  );
  return `${parts['year']?.padStart(4, '0')}-${parts['month']}-${parts['day']}`;
}

function formatOf(timeZone: string): Intl.DateTimeFormat {
  let format = formats.get(timeZone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone,
      calendar: 'iso8601',
      numberingSystem: 'latn',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
    });
    formats.set(timeZone, format);
  }
  return format;
}
