const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(timeZone: string): Intl.DateTimeFormat {
  let format = formats.get(timeZone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone,
      calendar: 'iso8601',
      numberingSystem: 'latn',
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
    });
    formats.set(timeZone, format);
  }
  return format;
}

/** How far the zone's clocks are ahead of UTC at an instant, in milliseconds. */
function offsetAt(instant: number, timeZone: string): number {
  const parts = Object.fromEntries(
    formatOf(timeZone)
      .formatToParts(instant)
      .map(({ type, value }) => [type, value]),
  );
  const shown = `${parts['year']?.padStart(4, '0')}-${parts['month']}-${parts['day']}T${parts['hour']}:${parts['minute']}:${parts['second']}Z`;
  return Date.parse(shown) - Math.floor(instant / 1000) * 1000;
}

const ONE_DAY_MS = 86_400_000;

/**
 * The instant at which clocks of the zone show this date ('YYYY-MM-DD') and time ('HH:MM'). Where they show it twice the first counts; where they skip it, the offset
 * before the gap does (RFC 5545, 3.3.5).
 */
export function zonedInstant(date: string, clock: string, timeZone: string): Date {
  const shown = Date.parse(`${date}T${clock}:00Z`);
  const before = offsetAt(shown - ONE_DAY_MS, timeZone);
  const after = offsetAt(shown + ONE_DAY_MS, timeZone);
  const fits = [before, after].find((offset) => offsetAt(shown - offset, timeZone) === offset);
  return new Date(shown - (fits ?? before));
}
