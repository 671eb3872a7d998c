import { describe, expect, it } from '@jest/globals';
import { endOfDay } from './end-of-day.ts';

// Offsets and changes of the zones from the IANA time zone database.
describe('the end of a local day', () => {
  it.each([
    ['2026-12-04', 'Europe/Madrid', '2026-12-04T23:00:00.000Z'],
    ['2026-07-04', 'Europe/Madrid', '2026-07-04T22:00:00.000Z'],
    ['2026-10-25', 'Europe/Madrid', '2026-10-25T23:00:00.000Z'],
    ['2026-12-04', 'Pacific/Kiritimati', '2026-12-04T10:00:00.000Z'],
    ['2026-12-04', 'Pacific/Pago_Pago', '2026-12-05T11:00:00.000Z'],
    ['2026-12-04', 'Asia/Kathmandu', '2026-12-04T18:15:00.000Z'],
    ['2026-12-04', 'UTC', '2026-12-05T00:00:00.000Z'],
    ['9999-12-31', 'Asia/Kathmandu', '9999-12-31T18:15:00.000Z'],
    ['9999-12-31', 'Pacific/Pago_Pago', '+010000-01-01T11:00:00.000Z'],
  ])('%s in %s', (date, zone, expected) => {
    expect(new Date(endOfDay(date, zone)).toISOString()).toBe(expected);
  });
});
