import { msPerHour } from '../dates/instant.ts';
import type { Rational } from '../rational.ts';
import { parse } from '../rational.ts';

export const coolingRuleNames = ['cooked', 'from-room-temperature'] as const;
export type CoolingRule = (typeof coolingRuleNames)[number];

/** The food is at or under `limit` at the latest so long after the clock was started. */
export interface CoolingLimit {
  limit: Rational;
  within: number;
}

/** The published text that the limits are from; to be shown wherever a verdict is shown. */
export const coolingSource = 'FDA Food Code 2022, 3-501.14';

/** Where the count begins for cooked food, 57 C (135 F); food that was never hot has no such figure. */
export const cookedFrom = parse('57');

/**
 * Cooked food: 57 C to 21 C (70 F) within 2 hours, and to 5 C (41 F) within 6 hours in all, 3-501.14(A). Made from ingredients at room temperature: to
 * 5 C within 4 hours, 3-501.14(B). Both clocks of cooked food begin together, so time saved before 21 C may be used after it.
 */
export const coolingLimits: Record<CoolingRule, readonly CoolingLimit[]> = {
  cooked: [
    { limit: parse('21'), within: 2 * msPerHour },
    { limit: parse('5'), within: 6 * msPerHour },
  ],
  'from-room-temperature': [{ limit: parse('5'), within: 4 * msPerHour }],
};
