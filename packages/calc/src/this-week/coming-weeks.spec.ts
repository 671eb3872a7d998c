import { describe, expect, it } from '@jest/globals';
import { comingWeeks, mondayOf } from './coming-weeks.ts';

describe('the coming weeks', () => {
  it('begin on the Monday of this week and go over the end of the year', () => {
    expect(comingWeeks('2026-12-23', 3)).toEqual(['2026-12-21', '2026-12-28', '2027-01-04']);
  });

  it('take a Monday and the Sunday after it for the same week', () => {
    expect(comingWeeks('2026-11-23', 1)).toEqual(['2026-11-23']);
    expect(comingWeeks('2026-11-29', 1)).toEqual(['2026-11-23']);
    expect(mondayOf('2026-11-29')).toBe('2026-11-23');
  });

  it('agree with the clock of this machine for every day of four centuries', () => {
    for (let day = Date.UTC(1850, 0, 1); day < Date.UTC(2250, 0, 1); day += 86_400_000 * 3) {
      const [monday] = comingWeeks(new Date(day).toISOString().slice(0, 10), 1);
      const since = (day - Date.parse(`${monday}T00:00:00Z`)) / 86_400_000;
      if (new Date(`${monday}T00:00:00Z`).getUTCDay() !== 1 || since < 0 || since > 6) throw new Error(`${monday}`);
    }
    expect(comingWeeks('2000-02-29', 1)).toEqual(['2000-02-28']);
  });
});
