import { describe, expect, it } from '@jest/globals';
import { dateMark } from '@frostmoot/calc';

describe('date marking', () => {
  it('FDA Food Code 3-501.17(A): prepared on 1 April, used by 7 April', () => {
    expect(dateMark({ preparedOn: '2025-04-01' }).useBy).toBe('2025-04-07');
  });

  it("N.C. Cooperative Extension's sheet: cooked 1 October, frozen on the 3rd, thawed on the 10th (day 3), last day the 14th (day 7)", () => {
    expect(dateMark({ preparedOn: '2025-10-01', frozenOn: '2025-10-03', thawedOn: '2025-10-10' })).toEqual({
      useBy: '2025-10-14',
      daysUsed: 2,
    });
  });

  it('Minnesota Rules 4626.0400: freezing stops the count and does not start it again, however long it lasts', () => {
    const thawed = (thawedOn: string) => dateMark({ preparedOn: '2025-10-01', frozenOn: '2025-10-05', thawedOn });
    // Four days used, three left: the day of thawing and two more.
    expect(thawed('2025-10-05').useBy).toBe('2025-10-07');
    expect(thawed('2026-10-05').useBy).toBe('2026-10-07');
  });
});
