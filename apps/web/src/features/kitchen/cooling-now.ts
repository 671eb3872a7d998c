import { cooling, rational } from '@frostmoot/calc';
import type { CoolingResult } from '@frostmoot/calc';
import type { Schemas } from '../../lib/api/schemas.ts';

export type CoolingLog = Schemas['CoolingLog'];

/** Readings that count: those that no other replaces. */
export const counting = ({ readings }: Pick<CoolingLog, 'readings'>): CoolingLog['readings'] =>
  readings.filter(({ replacedBy }) => replacedBy === null);

/** The log judged by the device itself, so that it goes on without a connection; a clock that is behind a reading counts as at it. */
export function judgedNow(log: CoolingLog, now: string): CoolingResult {
  const { rule, startedAt } = log;
  const readings = counting(log);
  const latest = readings.reduce((last, { measuredAt }) => (measuredAt > last ? measuredAt : last), startedAt);
  return cooling({
    rule,
    startedAt,
    readings: readings.map(({ measuredAt, celsius }) => ({ at: measuredAt, celsius })),
    now: now > latest ? now : latest,
  });
}

export const minutesBetween = (from: string, to: string): number =>
  Math.floor((Date.parse(to) - Date.parse(from)) / 60_000);

/** A moment of the curve: minutes since the start, degrees. */
interface Moment {
  minutes: number;
  celsius: number;
}

export interface Curve {
  /** what was measured, in order of time */
  measured: Moment[];
  /** corners of a step line that holds each reading until the next, and the last until now: never drawn better than measured */
  line: Moment[];
  /** where the food must not be: from these minutes on above these degrees */
  forbidden: { minutes: number; celsius: number; until: number }[];
  now: number;
  minutes: number;
  celsius: number;
}

/** What there is to draw of a log. */
export function curveOf(log: CoolingLog, { stages }: CoolingResult, now: string): Curve {
  const since = (instant: string): number => (Date.parse(instant) - Date.parse(log.startedAt)) / 60_000;
  const degrees = (celsius: string): number => Number(rational.toDecimal(rational.parse(celsius), 2));
  const measured = counting(log)
    .map(({ measuredAt, celsius }) => ({ minutes: since(measuredAt), celsius: degrees(celsius) }))
    .sort((a, b) => a.minutes - b.minutes);
  const here = Math.max(since(now), measured.at(-1)?.minutes ?? 0);
  const line = measured.flatMap((moment, index) => [
    moment,
    { minutes: measured[index + 1]?.minutes ?? here, celsius: moment.celsius },
  ]);
  const limits = stages.map(({ by, limitCelsius }) => ({ minutes: since(by), celsius: degrees(limitCelsius) }));
  const minutes = Math.max(here, (limits.at(-1)?.minutes ?? 0) + 30);
  return {
    measured,
    line,
    forbidden: limits.map((limit, index) => ({ ...limit, until: limits[index + 1]?.minutes ?? minutes })),
    now: here,
    minutes,
    celsius: Math.max(60, ...measured.map((moment) => moment.celsius)),
  };
}
