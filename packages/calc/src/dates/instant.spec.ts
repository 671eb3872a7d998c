import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { formatInstant, tryParseInstant } from './instant.ts';

describe('instants in UTC', () => {
  it.each([
    ['1970-01-01T00:00:00.000Z', 0],
    ['1969-12-31T23:59:59.999Z', -1],
    ['2026-11-28T09:00Z', 1_795_856_400_000],
    ['2026-11-28T09:00:00Z', 1_795_856_400_000],
    ['2026-11-28T09:00:00.5Z', 1_795_856_400_500],
    ['2026-11-28T09:00:00.05Z', 1_795_856_400_050],
    ['2024-02-29T23:59:59.999Z', 1_709_251_199_999],
  ])('%s is %i', (text, instant) => {
    expect(tryParseInstant(text)).toBe(instant);
  });

  it.each([
    '2026-11-28',
    '2026-02-29T09:00:00Z',
    '2026-11-28T24:00:00Z',
    '2026-11-28T09:60:00Z',
    '2026-06-30T23:59:60Z',
    '2026-11-28T09:00:00',
    '2026-11-28T09:00:00+01:00',
    '2026-11-28 09:00:00Z',
    '2026-11-28T09:00:00.0001Z',
    ' 2026-11-28T09:00:00Z',
    '0000-01-01T00:00:00Z',
    'NaN',
  ])('%j is none', (text) => {
    expect(tryParseInstant(text)).toBeUndefined();
  });

  it('agree with the ECMAScript calendar (ECMA-262, Date in UTC), there and back', () => {
    fc.assert(
      fc.property(fc.integer({ min: -62_135_596_800_000, max: 253_402_300_799_999 }), (instant) => {
        expect(formatInstant(instant)).toBe(new Date(instant).toISOString());
        expect(tryParseInstant(formatInstant(instant))).toBe(instant);
      }),
      { numRuns: 2000 },
    );
  });

  it('refuses what no date of four digits can say', () => {
    for (const instant of [253_402_300_800_000, -62_135_596_800_001, Number.NaN, 2 ** 60])
      expect(() => formatInstant(instant)).toThrow(expect.objectContaining({ code: 'too-large' }));
  });
});
