import { describe, expect, it } from '@jest/globals';
import { instantOf, timeIn } from './zoned-time.ts';

// Madrid goes from UTC+1 to UTC+2 on 29 March 2026 at 01:00 UTC and back on 25 October 2026 at 01:00 UTC (IANA time zone database).
describe('a wall clock time in a zone', () => {
  it.each([
    ['2026-01-15', '17:30', 'Europe/Madrid', '2026-01-15T16:30:00.000Z'],
    ['2026-07-15', '17:30', 'Europe/Madrid', '2026-07-15T15:30:00.000Z'],
    ['2026-07-15', '00:10', 'Pacific/Kiritimati', '2026-07-14T10:10:00.000Z'],
    ['2026-03-29', '02:30', 'Europe/Madrid', '2026-03-29T01:30:00.000Z'],
    ['2026-10-25', '02:30', 'Europe/Madrid', '2026-10-25T00:30:00.000Z'],
    ['2026-10-25', '03:30', 'Europe/Madrid', '2026-10-25T02:30:00.000Z'],
  ])('%s %s in %s is %s', (date, time, zone, instant) => {
    expect(instantOf(date, time, zone)).toBe(instant);
  });

  it('is read back', () => {
    expect(timeIn('2026-07-15T15:30:00.000Z', 'Europe/Madrid')).toBe('17:30');
    expect(timeIn('2026-07-14T10:10:00.000Z', 'Pacific/Kiritimati')).toBe('00:10');
  });
});
