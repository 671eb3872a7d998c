import { describe, expect, it } from '@jest/globals';
import { clockOf, partRun, secondsLeft, type Timer } from './timers.ts';

const timer: Timer = { id: 'a', day: 'd', name: 'Bakes out of the oven', from: 0, until: 1_800_000 };

describe('a timer', () => {
  it('says what is left, never less than nil', () => {
    expect(secondsLeft(timer, 0)).toBe(1800);
    expect(secondsLeft(timer, 738_001)).toBe(1062);
    expect(secondsLeft(timer, 1_800_001)).toBe(0);
  });

  it('is written as a clock', () => {
    expect([0, 59, 1062, 3130, 3730].map(clockOf)).toEqual(['0:00', '0:59', '17:42', '52:10', '1:02:10']);
  });

  it('has run in part, and a timer of no minutes has run out', () => {
    expect([partRun(timer, 900_000), partRun(timer, 9e9), partRun({ ...timer, until: 0 }, 0)]).toEqual([0.5, 1, 1]);
  });
});
