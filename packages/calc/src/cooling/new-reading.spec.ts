import { describe, expect, it } from '@jest/globals';
import { checkReading, judgedAt, logStart } from './new-reading.ts';

const minute = 60_000;
const reading = (measured: number, rule: 'cooked' | 'from-room-temperature' = 'cooked', started = 0) => ({
  rule,
  startedAt: started * minute,
  measuredAt: measured * minute,
});

describe('a new reading', () => {
  it('may have been measured at any time from the start to now, by a clock up to five minutes ahead', () => {
    for (const measured of [0, 30, 60, 65]) checkReading(reading(measured), [reading(90)], 60 * minute);
  });

  it.each([
    [reading(-1), ['#/measuredAt']],
    [reading(66), ['#/measuredAt']],
    [reading(10, 'from-room-temperature'), ['#/rule']],
    [reading(99, 'from-room-temperature', 100), ['#/measuredAt', '#/measuredAt', '#/rule']],
  ])('is refused: %j', (wrong, pointers) => {
    expect(() => checkReading(wrong, [reading(5)], 60 * minute)).toThrow(
      expect.objectContaining({
        code: 'invalid-input',
        errors: pointers.map((pointer) => expect.objectContaining({ pointer })),
      }),
    );
  });

  it('counts from the earliest start that any device says, and is judged at its latest reading at least', () => {
    expect(logStart([5, 3, 9])).toBe(3);
    expect([judgedAt(10, [4, 12]), judgedAt(10, [])]).toEqual([12, 10]);
  });
});
