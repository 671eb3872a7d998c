import { describe, expect, it } from '@jest/globals';
import { isTimeZone, localToday } from './local-today.ts';

describe('the local date', () => {
  it('is that of the zone, not of this machine', () => {
    const now = new Date('2026-11-28T23:30:00.000Z');
    expect(localToday(now, 'UTC')).toBe('2026-11-28');
    expect(localToday(now, 'Europe/Madrid')).toBe('2026-11-29');
    expect(localToday(now, 'America/New_York')).toBe('2026-11-28');
    expect(localToday(now, 'Pacific/Kiritimati')).toBe('2026-11-29');
  });

  it('goes through both changes of the clock', () => {
    // Madrid goes from UTC+1 to UTC+2 on 29 March 2026 at 01:00 UTC and back on 25 October 2026 (IANA time zone database).
    expect(localToday(new Date('2026-03-28T22:59:59.000Z'), 'Europe/Madrid')).toBe('2026-03-28');
    expect(localToday(new Date('2026-03-28T23:00:00.000Z'), 'Europe/Madrid')).toBe('2026-03-29');
    expect(localToday(new Date('2026-03-29T21:59:59.000Z'), 'Europe/Madrid')).toBe('2026-03-29');
    expect(localToday(new Date('2026-10-25T22:59:59.000Z'), 'Europe/Madrid')).toBe('2026-10-25');
    expect(localToday(new Date('2026-10-25T23:00:00.000Z'), 'Europe/Madrid')).toBe('2026-10-26');
  });

  it('moves by one day at a time, at most once an hour, in every zone that this machine knows', () => {
    for (const timeZone of Intl.supportedValuesOf('timeZone')) {
      let before = localToday(new Date('2026-03-20T00:00:00Z'), timeZone);
      for (let hour = 1; hour <= 24 * 14; hour += 1) {
        const date = localToday(new Date(Date.UTC(2026, 2, 20, hour)), timeZone);
        const moved = (Date.parse(date) - Date.parse(before)) / 86_400_000;
        if (moved !== 0 && moved !== 1) throw new Error(`${timeZone}: ${before} is followed by ${date}`);
        before = date;
      }
    }
  });

  it('knows which zones there are', () => {
    expect(isTimeZone('America/Argentina/Ushuaia')).toBe(true);
    expect(isTimeZone('Europe/Atlantis')).toBe(false);
    expect(isTimeZone('')).toBe(false);
  });
});
