import { labelSheetNames, labelSheets } from '@frostmoot/calc';
import { z } from 'zod';
import { id, locale } from './primitives.ts';

const MOST_ON_A_SHEET = Math.max(...Object.values(labelSheets).map(({ columns, rows }) => columns * rows));

/**
 * Which labels of a round, and how: of one batch or of what one household holds, else of all its sealed containers; `first` is the first place of a sheet that
 * is still free, which the sheet must have. Errors: `none-left` when nothing is sealed; `invalid-input` with the code `label-too-small` and the dishes whose words do not fit.
 */
export const labelsQuery = z.object({
  sheet: z.enum(labelSheetNames).default('a4-14'),
  language: locale.default('en'),
  first: z.coerce.number().int().min(1).max(MOST_ON_A_SHEET).default(1),
  batchId: id.optional(),
  householdId: id.optional(),
});
