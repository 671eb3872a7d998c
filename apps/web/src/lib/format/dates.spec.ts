import { describe, expect, it } from '@jest/globals';
import { dayParts, formatClock, formatDay, formatTime, localDateOf } from './dates.ts';

describe('formatDay', () => {
  it('writes the day of the ISO date in any zone of the machine', () => {
    const zone = process.env.TZ;
    for (const machine of ['Pacific/Kiritimati', 'Pacific/Pago_Pago', 'Europe/Dublin']) {
      process.env.TZ = machine;
      expect(formatDay('2026-11-28', 'en-GB', 'day').replace(',', '')).toBe('Sat 28 Nov');
    }
    process.env.TZ = zone;
    if (zone === undefined) delete process.env.TZ;
  });

  it.each([
    ['short', '28 Nov'],
    ['long', 'Saturday 28 November'],
    ['dated', '28 Nov 2026'],
  ] as const)('has a %s form', (form, text) => {
    expect(formatDay('2026-11-28', 'en-GB', form).replace(',', '')).toBe(text);
  });

  it('follows the language', () => {
    expect(formatDay('2026-11-28', 'ar-EG-u-nu-arab', 'short')).toBe('٢٨ نوفمبر');
    expect(formatDay('2026-11-28', 'es-ES', 'long')).toBe('sábado, 28 de noviembre');
  });

  it('gives the three lines of a tear-off', () => {
    expect(dayParts('2026-11-28', 'en-GB')).toEqual({ weekday: 'Sat', day: '28', month: 'Nov' });
  });
});

describe('instants', () => {
  it('are told in the zone of the cooperative, on both sides of a change of clocks', () => {
    // Dublin: summer time ends on 25 October 2026 at 01:00 UTC.
    expect(formatTime('2026-10-24T19:00:00Z', 'en-GB', 'Europe/Dublin')).toBe('20:00');
    expect(formatTime('2026-10-26T20:00:00Z', 'en-GB', 'Europe/Dublin')).toBe('20:00');
    expect(formatTime('2026-11-30T00:00:00Z', 'en-GB', 'Europe/Dublin')).toBe('00:00');
  });

  it('fall on the local date of the cooperative', () => {
    expect(localDateOf('2026-11-28T23:30:00Z', 'Pacific/Auckland')).toBe('2026-11-29');
    expect(localDateOf('2026-11-28T02:30:00Z', 'America/New_York')).toBe('2026-11-27');
  });

  it('writes a wall-clock time in the digits of the language', () => {
    expect(formatClock('09:00', 'en-GB')).toBe('09:00');
    expect(formatClock('09:00', 'ar-EG-u-nu-arab')).toBe('٠٩:٠٠');
  });
});
