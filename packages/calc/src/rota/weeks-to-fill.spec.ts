import { describe, expect, it } from '@jest/globals';
import { weeksToFill } from './weeks-to-fill.ts';

const teams = (asked: Parameters<typeof weeksToFill>[0]) =>
  weeksToFill(asked).map(({ weekOf, team }) => [weekOf, team]);

// Weeks begin on Monday (ISO 8601, week dates). 2026 has 53 of them, since it begins on a Thursday; the last is that of 28 December.
describe('the weeks of a rota', () => {
  it('begin with the Monday of the day that is given and go over the 53rd week of a year', () => {
    expect(teams({ from: '2026-12-30', weeks: 3, team: 2, every: 1 })).toEqual([
      ['2026-12-28', 2],
      ['2027-01-04', 2],
      ['2027-01-11', 2],
    ]);
  });

  it.each([
    ['a Monday', '2026-11-23', '2026-11-23'],
    ['the Sunday after it', '2026-11-29', '2026-11-23'],
    ['a leap day', '2028-02-29', '2028-02-28'],
  ])('take %s as a day of its week', (_, from, monday) => {
    expect(teams({ from, weeks: 1, team: 1, every: 1 })).toEqual([[monday, 1]]);
  });

  it('keep the weeks in between, with nobody, where every other or every third is cooked in', () => {
    const asked = { from: '2026-11-25', team: 3 };
    expect(teams({ ...asked, weeks: 4, every: 2 }).map(([, team]) => team)).toEqual([3, 0, 3, 0]);
    expect(teams({ ...asked, weeks: 5, every: 3 }).map(([, team]) => team)).toEqual([3, 0, 0, 3, 0]);
  });

  it('ask for no dish and no pot before something is planned, and are none when none are asked for', () => {
    expect(weeksToFill({ from: '2026-11-25', weeks: 1, team: 2, every: 1 })).toEqual([
      { weekOf: '2026-11-23', team: 2, dishes: [], potMl: 0 },
    ]);
    expect(weeksToFill({ from: '2026-11-25', weeks: 0, team: 2, every: 1 })).toEqual([]);
  });

  it.each(['2026-02-30', '30.12.2026', ''])('refuse %j, which is no date', (from) => {
    expect(() => weeksToFill({ from, weeks: 1, team: 1, every: 1 })).toThrow(RangeError);
  });
});
