import type { Instant } from '../dates/instant.ts';
import type { Rational } from '../rational.ts';
import { cmp, mul, rational, sub } from '../rational.ts';
import type { CoolingInput, ProbeReading } from './cooling-input.ts';
import { cookedFrom } from './cooling-rules.ts';

/** What to do next, as a code for the screens' words. */
export const nextActCodes = ['measure', 'cool-faster', 'keep-cold', 'throw-away'] as const;
export type NextActCode = (typeof nextActCodes)[number];

export interface NextAct {
  code: NextActCode;
  /** At the latest when; null where nothing is due. */
  by: Instant | null;
}

/** Whether a straight line through two readings is still above the limit at `by`. */
function isTooSlow(from: ProbeReading, to: ProbeReading, limit: Rational, by: Instant): boolean {
  const fall = sub(from.celsius, to.celsius);
  if (cmp(fall, rational(0n)) <= 0) return true;
  const time = rational(BigInt(to.at - from.at));
  const left = rational(BigInt(by - to.at));
  return cmp(mul(sub(to.celsius, limit), time), mul(fall, left)) > 0;
}

/** The point before the last reading: the reading before it or, for cooked food that has cooled since, the 57 C at which the clock was started. */
function before(last: ProbeReading, { rule, startedAt, readings }: CoolingInput): ProbeReading | undefined {
  const earlier = readings.at(-2);
  if (earlier) return earlier;
  const isBelowStart = rule === 'cooked' && last.at > startedAt && cmp(last.celsius, cookedFrom) < 0;
  return isBelowStart ? { at: startedAt, celsius: cookedFrom } : undefined;
}

/**
 * What a cook does about a limit that is not reached yet: a reading once half of the time since the last one has gone, at once if that is past; or
 * `cool-faster` (divide it, shallow pans, ice water, stir) when even a straight line through the last two readings comes too late. Food cools slower and slower,
 * so the line is kinder than the food: the warning is never wrong about the pace measured, and its absence is no promise. Our decision.
 */
export function actFor(limit: Rational, by: Instant, log: CoolingInput): NextAct {
  const last = log.readings.at(-1);
  const earlier = last && before(last, log);
  if (last && earlier && isTooSlow(earlier, last, limit, by)) return { code: 'cool-faster', by };
  const since = last?.at ?? log.startedAt;
  const halfway = since + Math.floor((by - since) / 2);
  return { code: 'measure', by: Math.max(halfway, log.now) };
}
