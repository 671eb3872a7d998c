import { describe, expect, it } from '@jest/globals';
import { curveOf, judgedNow, minutesBetween, type CoolingLog } from './cooling-now.ts';

const at = (minutes: number): string =>
  new Date(Date.parse('2026-11-28T12:00:00.000Z') + minutes * 60_000).toISOString();
const log = (readings: [number, string][]): CoolingLog => ({
  rule: 'cooked',
  startedAt: at(0),
  readings: readings.map(([minutes, celsius], index) => ({
    id: String(index),
    measuredAt: at(minutes),
    celsius,
    household: { id: 'a', name: 'Alder' },
    replaces: null,
    replacedBy: null,
    reason: '',
  })),
  verdict: 'due',
  stages: [],
  next: { code: 'measure', by: null },
});

describe('a cooling log on the device', () => {
  it('fails by itself when the time of a limit passes without a reading', () => {
    const readings: [number, string][] = [[60, '30']];
    expect(judgedNow(log(readings), at(120)).verdict).toBe('due');
    expect(judgedNow(log(readings), at(121)).verdict).toBe('failed');
  });

  it('takes a clock that is behind the last reading as being at it', () => {
    expect(judgedNow(log([[60, '21']]), at(55)).stages[0]?.verdict).toBe('within');
    expect(judgedNow(log([]), at(-5)).verdict).toBe('due');
  });

  it('draws a step line that holds the last reading, and never falls before a reading was taken', () => {
    const given = log([[40, '89/2'], [0, '57']]); // prettier-ignore
    const curve = curveOf(given, judgedNow(given, at(55)), at(55));
    expect(curve.line).toEqual([
      { minutes: 0, celsius: 57 },
      { minutes: 40, celsius: 57 },
      { minutes: 40, celsius: 44.5 },
      { minutes: 55, celsius: 44.5 },
    ]);
    expect(curve.forbidden).toEqual([
      { minutes: 120, celsius: 21, until: 360 },
      { minutes: 360, celsius: 5, until: 390 },
    ]);
  });

  it('judges and draws without a reading that was replaced', () => {
    const given = log([[40, '57'], [50, '4'], [51, '40']]); // prettier-ignore
    const corrected = {
      ...given,
      readings: given.readings.map((reading) => (reading.id === '1' ? { ...reading, replacedBy: '2' } : reading)),
    };
    expect(judgedNow(given, at(55)).stages[0]?.reachedBetween).toBeUndefined();
    expect(judgedNow(corrected, at(55)).verdict).toBe('due');
    expect(curveOf(corrected, judgedNow(corrected, at(55)), at(55)).measured.map(({ celsius }) => celsius)).toEqual([
      57, 40,
    ]);
  });

  it('counts whole minutes that are left', () => {
    expect(minutesBetween(at(0), at(55.9))).toBe(55);
  });
});
