import type { Instant } from '../dates/instant.ts';
import { msPerMinute } from '../dates/instant.ts';
import type { InputFault } from '../domain-error.ts';
import { DomainError } from '../domain-error.ts';
import { invalidInput } from '../input.ts';
import type { CoolingRule } from './cooling-rules.ts';

/** A reading as a cook sends it, with the rule and the start of the clock as far as the device knows. */
export interface NewReading {
  rule: CoolingRule;
  startedAt: Instant;
  measuredAt: Instant;
}

/** How far the clock of a phone may be ahead. Common practice, no source. */
const clockMayBeAhead = 5 * msPerMinute;

/** The start of a log whose readings were taken by several devices: the earliest that any of them says, which is in nobody's favour. */
export const logStart = (starts: readonly Instant[]): Instant => Math.min(...starts);

/** Until when a log is judged: now, or its latest reading where a device's clock is ahead. */
export const judgedAt = (now: Instant, measured: readonly Instant[]): Instant => Math.max(now, ...measured);

/**
 * Refuses a reading that cannot be: before its start, later than now (five minutes are allowed, since devices' clocks differ), or of another rule than the batch's
 * log. `log`: the batch's readings so far. Error: `invalid-input` with pointers.
 */
export function checkReading(
  { rule, startedAt, measuredAt }: NewReading,
  log: readonly NewReading[],
  now: Instant,
): void {
  const errors: InputFault[] = [];
  if (measuredAt < startedAt) errors.push({ pointer: '#/measuredAt', detail: 'Must not be before startedAt.' });
  if (measuredAt > now + clockMayBeAhead)
    errors.push({ pointer: '#/measuredAt', detail: 'Must not be later than now.' });
  if (log.some((other) => other.rule !== rule))
    errors.push({ pointer: '#/rule', detail: 'Must be the rule by which this batch is cooled already.' });
  if (errors.length > 0) throw invalidInput(errors);
}

/** Refuses a step's time that is later than now; five minutes are allowed. Error: `invalid-input` at `#/at`. */
export function checkDoneAt(at: Instant, now: Instant): void {
  if (at > now + clockMayBeAhead) throw invalidInput([{ pointer: '#/at', detail: 'Must not be later than now.' }]);
}

/**
 * Refuses a correction that cannot be: of a reading that is not the batch's, or without a reason; and a reason where nothing is corrected. Errors: `invalid-input` with
 * pointers, `conflict` when the reading has been replaced already.
 */
export function checkCorrection(
  { replaces, reason }: { replaces: string | null; reason: string },
  log: readonly { id: string; replacesId: string | null }[],
): void {
  if (replaces === null) {
    if (reason !== '') throw invalidInput([{ pointer: '#/reason', detail: 'Only a correction has a reason.' }]);
    return;
  }
  const errors: InputFault[] = [];
  if (reason === '') errors.push({ pointer: '#/reason', detail: 'Say why the reading is corrected.' });
  if (!log.some(({ id }) => id === replaces)) {
    errors.push({ pointer: '#/replaces', detail: 'There is no such reading of this batch.' });
  }
  if (errors.length > 0) throw invalidInput(errors);
  if (log.some(({ replacesId }) => replacesId === replaces)) {
    throw new DomainError('conflict', 'This reading has been corrected already');
  }
}
