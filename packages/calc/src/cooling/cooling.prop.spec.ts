import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { cooling } from './cooling.ts';

const minute = 60_000;
const start = Date.parse('2026-11-28T12:00:00.000Z');
const at = (minutes: number): string => new Date(start + minutes * minute).toISOString();
const rule = fc.constantFrom('cooked' as const, 'from-room-temperature' as const);
/** Whole degrees near the limits, whole minutes near the times. */
const reading = fc.record({
  minutes: fc.oneof(fc.nat(400), fc.constantFrom(0, 119, 120, 121, 239, 240, 241, 359, 360, 361)),
  celsius: fc.oneof(fc.integer({ min: 0, max: 70 }), fc.constantFrom(4, 5, 6, 20, 21, 22)),
});
type Reading = { minutes: number; celsius: number };
const logs = fc.record({ rule, readings: fc.array(reading, { maxLength: 8 }), later: fc.nat(120) });

const input = (ruleName: string, readings: readonly Reading[], now: number) => ({
  rule: ruleName,
  startedAt: at(0),
  readings: readings.map(({ minutes, celsius }) => ({ at: at(minutes), celsius: String(celsius) })),
  now: at(now),
});
const latest = (readings: readonly Reading[]): number => Math.max(0, ...readings.map(({ minutes }) => minutes));
const rank = { within: 0, due: 1, failed: 2 };

/** The verdict of one limit by looking at every minute: which was last known to be above, and was it known to be under in time? */
function byMinutes(readings: readonly Reading[], limit: number, by: number, now: number): string {
  let isUnder = false;
  let wasUnderInTime = false;
  for (let m = 0; m <= now; m++) {
    const here = readings.filter(({ minutes }) => minutes === m);
    if (here.some(({ celsius }) => celsius > limit)) isUnder = false;
    else if (here.length > 0) isUnder = true;
    if (m <= by) wasUnderInTime = isUnder;
    else if (!isUnder) return 'failed';
  }
  if (now > by) return wasUnderInTime ? 'within' : 'failed';
  return isUnder ? 'within' : 'due';
}

describe('a cooling log, always', () => {
  it('is judged as going through it minute by minute does', () => {
    fc.assert(
      fc.property(logs, ({ rule: name, readings, later }) => {
        const now = latest(readings) + later;
        const limits = name === 'cooked' ? ([[21, 120], [5, 360]] as const) : ([[5, 240]] as const); // prettier-ignore
        const expected = limits.map(([limit, by]) => byMinutes(readings, limit, by, now));
        const { verdict, stages } = cooling(input(name, readings, now));
        expect(stages.map((stage) => stage.verdict)).toEqual(expected);
        const worst = expected.includes('failed') ? 'failed' : expected.includes('due') ? 'due' : 'within';
        expect(verdict).toBe(worst);
      }),
      { numRuns: 3000 },
    );
  });

  it('is never better for a warmer reading, nor for time that passes without one', () => {
    fc.assert(
      fc.property(logs, fc.nat(), fc.integer({ min: 1, max: 30 }), ({ rule: name, readings, later }, which, warmer) => {
        const now = latest(readings) + later;
        const first = rank[cooling(input(name, readings, now)).verdict];
        const waited = rank[cooling(input(name, readings, now + 60)).verdict];
        expect(waited).toBeGreaterThanOrEqual(first);
        if (readings.length === 0) return;
        const heated = readings.map((one, i) =>
          i === which % readings.length ? { ...one, celsius: one.celsius + warmer } : one,
        );
        expect(rank[cooling(input(name, heated, now)).verdict]).toBeGreaterThanOrEqual(first);
      }),
      { numRuns: 1000 },
    );
  });

  it('gives the same bytes in any order, and names a next act that is not in the past', () => {
    fc.assert(
      fc.property(logs, ({ rule: name, readings, later }) => {
        const now = latest(readings) + later;
        const result = cooling(input(name, readings, now));
        expect(canonicalJson(cooling(input(name, [...readings].reverse(), now)))).toBe(canonicalJson(result));
        const { code, by } = result.next;
        expect(code === 'keep-cold').toBe(result.verdict === 'within');
        expect(code === 'throw-away').toBe(result.verdict === 'failed');
        if (by !== null) expect(by >= at(now)).toBe(true);
      }),
    );
  });
});
