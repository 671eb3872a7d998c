import { date, integer, readInput, record } from '../input.ts';
import { addMonths, formatDate, parseDate } from './civil-date.ts';

const readMonths = record({ frozenOn: date(), months: integer(0, 120) });

export interface BestBeforeResult {
  bestBefore: string;
}

/**
 * The date up to which frozen food is at its best: calendar months after freezing, clamped to the month's last day (30 November + 3 is 28 or 29 February).
 * It speaks of quality only: kept at -18 C (0 F) food stays safe (FoodSafety.gov Cold Food Storage Chart). The clamp is our decision.
 * Input `{frozenOn, months}`: an ISO 8601 date and a whole number from 0 to 120. Result: an ISO 8601 date not before frozenOn.
 * Errors: `invalid-input`; `too-large` after the year 9999.
 */
export function bestBefore(input: unknown): BestBeforeResult {
  const { frozenOn, months } = readInput(readMonths, input);
  return { bestBefore: formatDate(addMonths(parseDate(frozenOn), months)) };
}
