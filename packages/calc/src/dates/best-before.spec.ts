import { describe, expect, it } from '@jest/globals';
import { bestBefore } from './best-before.ts';

describe('bestBefore', () => {
  it.each([
    ['2026-11-15', 3, '2027-02-15'],
    ['2026-11-30', 3, '2027-02-28'],
    ['2027-11-30', 3, '2028-02-29'],
    ['2024-02-29', 12, '2025-02-28'],
    ['2026-08-31', 1, '2026-09-30'],
    ['2026-12-31', 0, '2026-12-31'],
    ['2026-01-31', 120, '2036-01-31'],
  ])('%s and %i months give %s', (frozenOn, months, best) => {
    expect(bestBefore({ frozenOn, months })).toEqual({ bestBefore: best });
  });

  it.each([
    { frozenOn: '2026-11-31', months: 3 },
    { frozenOn: '2026-11-30', months: -1 },
    { frozenOn: '2026-11-30', months: 1.5 },
    { frozenOn: '2026-11-30', months: 121 },
    { frozenOn: '2026-11-30' },
  ])('refuses %j', (input) => {
    expect(() => bestBefore(input)).toThrow(expect.objectContaining({ code: 'invalid-input' }));
  });

  it('refuses a day after the year 9999', () => {
    expect(() => bestBefore({ frozenOn: '9999-12-01', months: 1 })).toThrow(
      expect.objectContaining({ code: 'too-large' }),
    );
  });
});
