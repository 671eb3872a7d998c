import type { Instant } from '../dates/instant.ts';
import { instant, invalid, list, oneOf, rational, readInput, record, refine } from '../input.ts';
import type { Rational } from '../rational.ts';
import { cmp, parse } from '../rational.ts';
import type { CoolingRule } from './cooling-rules.ts';
import { coolingRuleNames } from './cooling-rules.ts';

/** A core temperature at an instant. */
export interface ProbeReading {
  at: Instant;
  celsius: Rational;
}

/** A cooling log: readings by time, one for each instant. */
export interface CoolingInput {
  rule: CoolingRule;
  startedAt: Instant;
  readings: readonly ProbeReading[];
  now: Instant;
}

/** What a probe in food can show at all; beyond it a figure was mistyped. */
const celsius = rational({ atLeast: parse('-60'), atMost: parse('200') });

const readLog = refine(
  record({
    rule: oneOf(coolingRuleNames),
    startedAt: instant(),
    readings: list(record({ at: instant(), celsius })),
    now: instant(),
  }),
  (log, place) => {
    if (log.now < log.startedAt) return place.at('now').fault('Must not be before startedAt.');
    let sound = true;
    log.readings.forEach(({ at }, index) => {
      const where = place.at('readings').at(index).at('at');
      if (at < log.startedAt) where.fault('Must not be before startedAt.');
      else if (at > log.now) where.fault('Must not be after now.');
      else return;
      sound = false;
    });
    return sound ? log : invalid;
  },
);

/** Readings in order of time. Of several at one instant the warmest counts, because nothing shows that the rest of the food was colder. */
function byTime(readings: readonly ProbeReading[]): ProbeReading[] {
  const warmest = new Map<Instant, ProbeReading>();
  for (const reading of readings) {
    const other = warmest.get(reading.at);
    if (!other || cmp(other.celsius, reading.celsius) < 0) warmest.set(reading.at, reading);
  }
  return [...warmest.values()].sort((a, b) => a.at - b.at);
}

/** Reads a cooling log. Error: `invalid-input`, also for a reading before the start or after now: a clock is wrong there. */
export function readCooling(input: unknown): CoolingInput {
  const log = readInput(readLog, input);
  return { ...log, readings: byTime(log.readings) };
}
