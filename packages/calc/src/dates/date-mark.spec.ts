import { describe, expect, it } from '@jest/globals';
import { dateMark } from './date-mark.ts';

describe('dateMark', () => {
  it('counts the day of preparation as day 1', () => {
    expect(dateMark({ preparedOn: '2026-04-01' })).toEqual({ useBy: '2026-04-07', daysUsed: 0 });
    expect(dateMark({ preparedOn: '2024-02-26' }).useBy).toBe('2024-03-03');
  });

  it('stops the count while the food is frozen', () => {
    expect(dateMark({ preparedOn: '2026-10-01', frozenOn: '2026-10-03' })).toEqual({ useBy: null, daysUsed: 2 });
    expect(dateMark({ preparedOn: '2026-10-01', frozenOn: '2026-10-03', thawedOn: '2027-10-10' })).toEqual({
      useBy: '2027-10-14',
      daysUsed: 2,
    });
  });

  it('counts the day of preparation even when the food was frozen on it', () => {
    const mark = dateMark({ preparedOn: '2026-10-01', frozenOn: '2026-10-01', thawedOn: '2026-11-01' });
    expect(mark).toEqual({ useBy: '2026-11-06', daysUsed: 1 });
  });

  it('leaves the day of thawing alone when it was frozen on the last day', () => {
    const mark = dateMark({ preparedOn: '2026-10-01', frozenOn: '2026-10-07', thawedOn: '2026-11-01' });
    expect(mark).toEqual({ useBy: '2026-11-01', daysUsed: 6 });
  });

  it('refuses food that was frozen after its last day', () => {
    expect(() => dateMark({ preparedOn: '2026-10-01', frozenOn: '2026-10-08' })).toThrow(
      expect.objectContaining({ code: 'past-use-by', params: { useBy: '2026-10-07' } }),
    );
  });

  it.each([
    [{}, '#/preparedOn'],
    [{ preparedOn: '2026-02-30' }, '#/preparedOn'],
    [{ preparedOn: '2026-10-02', frozenOn: '2026-10-01' }, '#/frozenOn'],
    [{ preparedOn: '2026-10-02', thawedOn: '2026-10-03' }, '#/thawedOn'],
    [{ preparedOn: '2026-10-02', frozenOn: '2026-10-03', thawedOn: '2026-10-02' }, '#/thawedOn'],
  ])('refuses %j', (input, pointer) => {
    expect(() => dateMark(input)).toThrow(
      expect.objectContaining({ code: 'invalid-input', errors: [expect.objectContaining({ pointer })] }),
    );
  });

  it('refuses a day after the year 9999', () => {
    expect(() => dateMark({ preparedOn: '9999-12-31' })).toThrow(expect.objectContaining({ code: 'too-large' }));
  });
});
