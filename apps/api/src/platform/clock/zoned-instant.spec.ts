import { describe, expect, it } from '@jest/globals';
import { zonedInstant } from './zoned-instant.ts';

const at = (date: string, clock: string, timeZone: string): string => zonedInstant(date, clock, timeZone).toISOString();

describe('the instant of a local time', () => {
  it('is that of the zone on that date', () => {
    expect(at('2026-11-28', '09:00', 'UTC')).toBe('2026-11-28T09:00:00.000Z');
    expect(at('2026-11-28', '09:00', 'Europe/Madrid')).toBe('2026-11-28T08:00:00.000Z');
    expect(at('2026-07-04', '09:00', 'Europe/Madrid')).toBe('2026-07-04T07:00:00.000Z');
    expect(at('2026-11-28', '09:00', 'Asia/Kathmandu')).toBe('2026-11-28T03:15:00.000Z');
  });

  it('takes the first of two and the offset before a gap, as the examples of RFC 5545, 3.3.5, say', () => {
    expect(at('2007-11-04', '01:30', 'America/New_York')).toBe('2007-11-04T05:30:00.000Z');
    expect(at('2007-03-11', '02:30', 'America/New_York')).toBe('2007-03-11T07:30:00.000Z');
  });
});
