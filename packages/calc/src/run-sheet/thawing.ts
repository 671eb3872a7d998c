import type { Rational } from '../rational.ts';
import { ceil, div, parse } from '../rational.ts';

const minutesPerDay = 24 * 60;

/** Food that thaws in a refrigerator in one day; USDA FSIS, as the extension services of Michigan State and Nebraska print it: at least 24 h for 5 lb. */
const kilogramsPerDay = parse('2.27');

/** Minutes in the refrigerator for food to thaw: 24 hours for each 2.27 kg (5 lb), a part of that counted as a whole (the stricter reading, our decision). */
export const thawingMinutes = (kilograms: Rational): number =>
  Number(ceil(div(kilograms, kilogramsPerDay))) * minutesPerDay;
