/** Kilocalories a day at a moderately active life, from an age on, for a boy or man and a girl or woman. */
export interface EnergyRow {
  fromAge: number;
  male: number;
  female: number;
}

/** Where the rows are from; kept with every number that is shown. */
export const energySource = {
  id: 'dga-2020-2025',
  title: 'Dietary Guidelines for Americans, estimated calorie needs per day by age and sex, moderately active',
  edition: '2020-2025',
} as const;

/** What a weight of 1 means on this scale. Our decision: the round figure of a moderately active woman of 26 to 50. */
export const referenceKilocalories = 2000;

/**
 * The rows of the source, in steps of 200 kcal. Read in a copy, not in the official edition. From 21 on the source gives narrower ages
 * with more than one figure in each of these bands; the lower one stands here, our decision, so that nobody's weight falls with a birthday alone
 * within a band.
 */
export const energyRows: readonly EnergyRow[] = [
  { fromAge: 2, male: 1000, female: 1000 },
  { fromAge: 3, male: 1400, female: 1200 },
  { fromAge: 4, male: 1400, female: 1400 },
  { fromAge: 6, male: 1600, female: 1400 },
  { fromAge: 7, male: 1600, female: 1600 },
  { fromAge: 9, male: 1800, female: 1600 },
  { fromAge: 10, male: 1800, female: 1800 },
  { fromAge: 11, male: 2000, female: 1800 },
  { fromAge: 12, male: 2200, female: 2000 },
  { fromAge: 14, male: 2400, female: 2000 },
  { fromAge: 15, male: 2600, female: 2000 },
  { fromAge: 16, male: 2800, female: 2000 },
  { fromAge: 19, male: 2800, female: 2200 },
  { fromAge: 21, male: 2600, female: 2000 },
  { fromAge: 31, male: 2400, female: 2000 },
  { fromAge: 51, male: 2200, female: 1800 },
];
