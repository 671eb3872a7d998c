import { DomainError } from '../domain-error.ts';
import { date, optional, readInput, record, refine } from '../input.ts';
import { addDays, daysBetween, formatDate, parseDate } from './civil-date.ts';

/** Days that ready-to-eat food may be kept cold, the day of preparation counted as the first. */
export const daysKept = 7;

const readDates = refine(
  record({ preparedOn: date(), frozenOn: optional(date()), thawedOn: optional(date()) }),
  ({ preparedOn, frozenOn, thawedOn }, place) => {
    if (frozenOn && frozenOn < preparedOn) return place.at('frozenOn').fault('Must not be before preparedOn.');
    if (thawedOn && !frozenOn) return place.at('thawedOn').fault('Needs frozenOn too.');
    if (thawedOn && frozenOn && thawedOn < frozenOn) return place.at('thawedOn').fault('Must not be before frozenOn.');
    return {
      preparedOn: parseDate(preparedOn),
      frozenOn: frozenOn ? parseDate(frozenOn) : undefined,
      thawedOn: thawedOn ? parseDate(thawedOn) : undefined,
    };
  },
);

export interface DateMarkResult {
  /** Eat or discard by the end of this day; null while it is frozen. */
  useBy: string | null;
  /** Days of the seven that were used up before freezing. */
  daysUsed: number;
}

/**
 * The last day of cold, ready-to-eat food kept at 5 C (41 F) or below: seven days, the day of preparation is day 1. Freezing pauses the count: the day of
 * freezing is not counted, the day of thawing is. Source: FDA Food Code 3-501.17; how the days are counted, N.C. Cooperative Extension's sheet
 * on it (cooked 1 October, frozen on the 3rd, thawed on the 10th: use by the 14th). Food frozen on the day of its preparation has used one day (the
 * stricter reading, our decision).
 * Input `{preparedOn, frozenOn?, thawedOn?}` as ISO 8601 dates. Result: `useBy` (null while frozen) and `daysUsed` before freezing, 0 without it.
 * Errors: `invalid-input`; `past-use-by` when it was frozen after its last day, since freezing does not make it good again.
 */
export function dateMark(input: unknown): DateMarkResult {
  const { preparedOn, frozenOn, thawedOn } = readInput(readDates, input);
  if (!frozenOn) return { useBy: formatDate(addDays(preparedOn, daysKept - 1)), daysUsed: 0 };
  const daysUsed = Math.max(1, daysBetween(preparedOn, frozenOn));
  if (daysUsed >= daysKept) {
    const useBy = formatDate(addDays(preparedOn, daysKept - 1));
    const detail = `It had to be eaten or discarded by ${useBy}, before it was frozen.`;
    throw new DomainError('past-use-by', detail, { errors: [{ pointer: '#/frozenOn', detail }], params: { useBy } });
  }
  if (!thawedOn) return { useBy: null, daysUsed };
  return { useBy: formatDate(addDays(thawedOn, daysKept - daysUsed - 1)), daysUsed };
}
