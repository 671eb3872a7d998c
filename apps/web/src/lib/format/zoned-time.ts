/** How far a zone's clock is ahead of UTC at an instant, in milliseconds. */
function aheadOf(at: number, timeZone: string): number {
  const parts = new Intl.DateTimeFormat('en-US', {
    timeZone,
    calendar: 'iso8601',
    numberingSystem: 'latn',
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  }).formatToParts(new Date(at));
  const of = (type: string): number => Number(parts.find((part) => part.type === type)?.value ?? 0);
  return Date.UTC(of('year'), of('month') - 1, of('day'), of('hour'), of('minute'), of('second')) - at;
}

/**
 * The instant at which a zone's clock shows a date and a time, as ISO text. A time that the clock skips in spring counts on from before the gap; of one
 * that it shows twice in autumn the first is meant.
 */
export function instantOf(date: string, time: string, timeZone: string): string {
  const wall = Date.parse(`${date}T${time}:00Z`);
  const before = aheadOf(wall - 86_400_000, timeZone);
  const after = aheadOf(wall + 86_400_000, timeZone);
  const candidates = [wall - before, wall - after];
  const fits = candidates.find((at) => at + aheadOf(at, timeZone) === wall);
  return new Date(fits ?? wall - before).toISOString();
}

/** The time of day that a zone's clock shows at an instant, "17:30". */
export function timeIn(instant: string, timeZone: string): string {
  const at = Date.parse(instant);
  return new Date(at + aheadOf(at, timeZone)).toISOString().slice(11, 16);
}
