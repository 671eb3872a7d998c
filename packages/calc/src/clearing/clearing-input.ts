import type { Of } from '../input.ts';
import { bool, invalidInput, mapOf, minorUnits, optional, readInput, record, text } from '../input.ts';
import { minorPerUnit } from '../money/minor-units.ts';

/** Balances in minor units, positive where a household is owed money; `unitMinor` when only whole currency units are to be paid. */
export interface ClearingInput {
  balances: ReadonlyMap<string, bigint>;
  unitMinor?: bigint;
}

const shape = record({
  balances: mapOf(minorUnits(), { longest: 1000 }),
  wholeUnits: optional(bool()),
  currency: optional(text(3)),
});

/**
 * Reads the JSON of clear-balances: `{balances: {household: minor}, wholeUnits?, currency?}`. Whole units have the minor units of the currency (ISO
 * 4217), 100 when none is given. Throws `invalid-input` with every fault, and when the balances do not sum to nil.
 */
export function readClearing(given: unknown): ClearingInput {
  const { balances, wholeUnits = false, currency }: Of<typeof shape> = readInput(shape, given);
  const sum = [...balances.values()].reduce((a, b) => a + b, 0n);
  if (sum !== 0n) throw invalidInput([{ pointer: '#/balances', detail: `The balances sum to ${sum} instead of nil.` }]);
  const unitMinor = currency === undefined ? 100n : minorPerUnit(currency);
  return { balances, unitMinor: wholeUnits ? unitMinor : undefined };
}
