import type { Instant } from '../dates/instant.ts';
import { formatInstant } from '../dates/instant.ts';
import type { Rational } from '../rational.ts';
import { cmp, format } from '../rational.ts';
import type { CoolingInput, ProbeReading } from './cooling-input.ts';
import { readCooling } from './cooling-input.ts';
import type { CoolingLimit } from './cooling-rules.ts';
import { coolingLimits } from './cooling-rules.ts';
import type { NextAct, NextActCode } from './next-act.ts';
import { actFor } from './next-act.ts';

export type CoolingVerdict = 'within' | 'due' | 'failed';

interface JudgedStage {
  limit: Rational;
  by: Instant;
  reachedBetween?: readonly [Instant, Instant];
  verdict: CoolingVerdict;
}

/** The last reading above the limit (the start where there is none) and the reading after it, between which the food came under the limit for good. */
function reachedBetween(
  readings: readonly ProbeReading[],
  startedAt: Instant,
  limit: Rational,
): [Instant, Instant] | undefined {
  const last = readings.findLastIndex(({ celsius }) => cmp(celsius, limit) > 0);
  const first = readings[last + 1];
  return first && [readings[last]?.at ?? startedAt, first.at];
}

function judge({ limit, within }: CoolingLimit, { startedAt, readings, now }: CoolingInput): JudgedStage {
  const by = startedAt + within;
  const reached = reachedBetween(readings, startedAt, limit);
  const latest = reached?.[1] ?? now;
  const verdict = latest > by ? 'failed' : reached ? 'within' : 'due';
  return { limit, by, ...(reached ? { reachedBetween: reached } : {}), verdict };
}

function nextAct(stages: readonly JudgedStage[], log: CoolingInput): NextAct {
  if (stages.some(({ verdict }) => verdict === 'failed')) return { code: 'throw-away', by: log.now };
  const due = stages.find(({ verdict }) => verdict === 'due');
  return due ? actFor(due.limit, due.by, log) : { code: 'keep-cold', by: null };
}

export interface CoolingStage {
  limitCelsius: string;
  by: string;
  reachedBetween?: [string, string];
  verdict: CoolingVerdict;
}

export interface CoolingResult {
  verdict: CoolingVerdict;
  stages: CoolingStage[];
  next: { code: NextActCode; by: string | null };
}

/**
 * Judges a cooling log by what was measured. A stage is reached at the first reading at or under its limit; if the food was measured above it again, at the
 * first reading after that. Passed when that reading was taken by its time (120 minutes pass, 121 do not), failed when it was taken later or now is later;
 * nothing between two readings is guessed in the cook's favour. The whole fails with any stage, and is within when all are.
 * Source: FDA Food Code 2022, 3-501.14; what counts as measured and what to do next are our decisions (docs/methods/cooling.md).
 * Input `{rule: "cooked" | "from-room-temperature", startedAt, readings: [{at, celsius}], now}`: instants in UTC, core temperatures as exact numbers from -60
 * to 200; startedAt is when the food was at 57 C, or was made. Result: `verdict`; per stage `limitCelsius`, `by`, `reachedBetween` (the reading before
 * and the one that showed it) and `verdict`; `next` with `code` and `by` (null when nothing is due). Error: `invalid-input`.
 */
export function cooling(input: unknown): CoolingResult {
  const log = readCooling(input);
  const stages = coolingLimits[log.rule].map((limit) => judge(limit, log));
  const { code, by } = nextAct(stages, log);
  const has = (verdict: CoolingVerdict): boolean => stages.some((stage) => stage.verdict === verdict);
  return {
    verdict: has('failed') ? 'failed' : has('due') ? 'due' : 'within',
    stages: stages.map(({ limit, by: until, reachedBetween: reached, verdict }) => ({
      limitCelsius: format(limit),
      by: formatInstant(until),
      ...(reached ? { reachedBetween: [formatInstant(reached[0]), formatInstant(reached[1])] } : {}),
      verdict,
    })),
    next: { code, by: by === null ? null : formatInstant(by) },
  };
}
