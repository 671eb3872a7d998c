import { describe, expect, it } from '@jest/globals';
import { addDays, datesAround, outOfOrder, proposedDates } from './round-dates.ts';

describe('proposed dates of a round', () => {
  it('cooks on the first Saturday that is a week away where there was no round', () => {
    // 23 November 2026 is a Monday.
    expect(proposedDates('2026-11-23', undefined)).toEqual({
      planUntil: '2026-11-29',
      buyOn: '2026-12-04',
      cookOn: '2026-12-05',
      shareOn: '2026-12-07',
      swapUntil: '2026-12-12',
      settleOn: '2026-12-13',
    });
  });

  it('keeps to the weekday of the last cook day and stays after it', () => {
    expect(proposedDates('2026-11-23', '2026-12-09').cookOn).toBe('2026-12-16');
    expect(proposedDates('2026-11-23', '2026-11-18').cookOn).toBe('2026-12-02');
  });

  it('never proposes to have planned in the past', () => {
    for (let day = 0; day < 14; day += 1) {
      const today = addDays('2026-11-23', day);
      expect(proposedDates(today, undefined).planUntil > today).toBe(true);
    }
  });
});

describe('the order of dates', () => {
  it('accepts dates in order, the same day twice included', () => {
    expect(outOfOrder({ ...datesAround('2026-11-28'), buyOn: '2026-11-28' })).toEqual([]);
  });

  it('names each date that lies before the step before it', () => {
    expect(outOfOrder({ ...datesAround('2026-11-28'), buyOn: '2026-11-20', settleOn: '2026-12-01' })).toEqual([
      'buyOn',
      'settleOn',
    ]);
  });

  it('says nothing of a date that is not typed yet', () => {
    expect(outOfOrder({ ...datesAround('2026-11-28'), shareOn: '' })).toEqual([]);
  });
});
