import type { IntegerModel, Row, Terms } from './model.ts';
import { modelLimits } from './model.ts';

const isWholeBelow = (value: number, limit: number): boolean =>
  Number.isSafeInteger(value) && value < limit && -value < limit;

function namesTwice(kind: string, names: readonly string[]): string[] {
  const seen = new Set<string>();
  return names.flatMap((name) => {
    const isNew = !seen.has(name);
    seen.add(name);
    return isNew ? [] : [`${kind} "${name}" is given twice.`];
  });
}

function faultsOfTerms(where: string, terms: Terms, known: ReadonlySet<string>): string[] {
  return terms.flatMap(([variable, coefficient]) => {
    if (!known.has(variable)) return [`${where}: there is no variable "${variable}".`];
    if (!isWholeBelow(coefficient, modelLimits.coefficient)) {
      return [`${where}: the coefficient ${coefficient} is not a whole number below ${modelLimits.coefficient}.`];
    }
    return [];
  });
}

function faultsOfBounds(where: string, { least, most }: Pick<Row, 'least' | 'most'>): string[] {
  const faults = [least, most].flatMap((bound) =>
    bound === undefined || isWholeBelow(bound, modelLimits.bound)
      ? []
      : [`${where}: the bound ${bound} is not a whole number below ${modelLimits.bound}.`],
  );
  if (least !== undefined && most !== undefined && least > most)
    faults.push(`${where}: the least is above the greatest.`);
  return faults;
}

/**
 * Why a model cannot be given to a solver: numbers that are not whole or too large to be solved without error (modelLimits), names that are given twice
 * or do not exist, a row without a bound. Gives sentences for whoever writes models, an empty list when all is well.
 */
export function modelFaults({ variables, rows, stages, tieBreak }: IntegerModel): string[] {
  if (variables.length > modelLimits.variables) return [`There are more than ${modelLimits.variables} variables.`];
  if (rows.length > modelLimits.rows) return [`There are more than ${modelLimits.rows} rows.`];
  const known = new Set(variables.map(({ name }) => name));
  const unknownTie = (tieBreak?.variables ?? []).filter((name) => !known.has(name));
  return [
    ...namesTwice(
      'The variable',
      variables.map(({ name }) => name),
    ),
    ...namesTwice(
      'The row',
      rows.map(({ name }) => name),
    ),
    ...namesTwice(
      'The stage',
      stages.map(({ name }) => name),
    ),
    ...variables.flatMap((variable) => faultsOfBounds(`Variable "${variable.name}"`, variable)),
    ...rows.flatMap((row) => [
      ...faultsOfBounds(`Row "${row.name}"`, row),
      ...(row.least === undefined && row.most === undefined ? [`Row "${row.name}" has no bound.`] : []),
      ...faultsOfTerms(`Row "${row.name}"`, row.terms, known),
    ]),
    ...stages.flatMap((stage) => faultsOfTerms(`Stage "${stage.name}"`, stage.terms, known)),
    ...unknownTie.map((name) => `Tie-break: there is no variable "${name}".`),
  ];
}
