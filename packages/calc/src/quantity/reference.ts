import type { Measures } from './units.ts';

/** The shape of the generated constants of reference-tables.ts. Figures are decimal text, so that they stay exact. */
export interface ReferenceSource {
  readonly id: string;
  readonly title: string;
  readonly edition: string;
}

export interface UnitRow {
  readonly id: string;
  readonly plural?: string;
  readonly dimension: string;
  /** Grams, millilitres or pieces in one of this unit. */
  readonly inBase: string;
  /** The set of kitchen measures that it belongs to; left out when it means the same in all of them. */
  readonly measures?: Measures;
  readonly aliases?: readonly string[];
}

export interface DensityRow {
  readonly source: string;
  readonly item: string;
  readonly name: string;
  /** The food's number in the USDA's tables. */
  readonly ndb?: string;
  readonly grams: string;
  readonly perMl: string;
}

export interface YieldRow {
  readonly source: string;
  readonly item: string;
  readonly name: string;
  readonly asPurchasedPerEdible?: string;
  readonly refusePercent?: string;
}
