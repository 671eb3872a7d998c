import type { IntegerModel, Terms } from './model.ts';

/** The sum of the terms, exact whatever their size. Throws RangeError when a variable has no whole value. */
export function sumOfTerms(terms: Terms, values: ReadonlyMap<string, number>): bigint {
  let total = 0n;
  for (const [variable, coefficient] of terms) {
    const value = values.get(variable);
    if (value === undefined || !Number.isSafeInteger(value)) throw new RangeError(`${variable} has no whole value.`);
    total += BigInt(coefficient) * BigInt(value);
  }
  return total;
}

const isWithin = (value: bigint, least: number | undefined, most: number | undefined): boolean =>
  (least === undefined || value >= BigInt(least)) && (most === undefined || value <= BigInt(most));

/**
 * Everything in which values are no solution of a model: variables that have no whole value or one beyond their bounds, and rows that do not hold.
 * Exact, and knows no solver. Gives the names, an empty list for a solution.
 */
export function faultsOfValues(model: IntegerModel, values: ReadonlyMap<string, number>): string[] {
  const faults = model.variables.flatMap(({ name, least, most }) => {
    const value = values.get(name);
    const isSound = value !== undefined && Number.isSafeInteger(value) && value >= least && value <= most;
    return isSound ? [] : [name];
  });
  if (faults.length > 0) return faults;
  return model.rows.flatMap(({ name, terms, least, most }) =>
    isWithin(sumOfTerms(terms, values), least, most) ? [] : [name],
  );
}
