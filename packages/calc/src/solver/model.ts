/** A sum of whole multiples of variables: each variable's name and its coefficient. A name given twice counts twice. */
export type Terms = readonly (readonly [variable: string, coefficient: number])[];

/** A variable that is a whole number between two whole bounds; 0 and 1 make it a decision. */
export interface WholeVariable {
  readonly name: string;
  readonly least: number;
  readonly most: number;
  /**
   * Whole by the structure of the rows (a flow, a count that a row defines), so the solver need not branch on it. This is a promise of whoever writes the
   * model: a solution in which it is not whole is refused.
   */
  readonly wholeByStructure?: true;
}

/** What must hold: least <= sum of the terms <= most. One of the bounds may be left out; both equal make an equation. */
export interface Row {
  readonly name: string;
  readonly terms: Terms;
  readonly least?: number;
  readonly most?: number;
}

/** What is sought, after everything that stands before it in the list: each stage keeps the optimum of those before. */
export interface Stage {
  readonly name: string;
  readonly seek: 'least' | 'most';
  readonly terms: Terms;
}

/** An integer program with aims in order of importance. Every number in it is whole; see modelFaults for how large they may be. */
export interface IntegerModel {
  readonly variables: readonly WholeVariable[];
  readonly rows: readonly Row[];
  readonly stages: readonly Stage[];
  /**
   * Draws among equally good solutions: a last stage whose weights are made from SHA-256 of seed and variable name, over these variables or all.
   * Without it the solution depends on the solver, though not on the order of the model.
   */
  readonly tieBreak?: { readonly seed: string; readonly variables?: readonly string[] };
  /**
   * What comes before the solver's own search; no proved value depends on it. `rounding`: its linear program gets rows that only whole numbers keep. `branching`:
   * then branching on that alone, which pays where it is small and its bound near the best.
   */
  readonly before?: 'rounding' | 'branching';
}

/** What a model may contain, so that a solver in floating point gives a solution that can be checked exactly. */
export const modelLimits = {
  /** coefficients of rows and stages stay below this in size; a solver was seen to be wrong from ten times this on */
  coefficient: 1_000_000,
  /** bounds of variables and rows stay below this in size */
  bound: 1_000_000_000,
  variables: 200_000,
  rows: 200_000,
} as const;
