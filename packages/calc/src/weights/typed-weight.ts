import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { cmp, rational, sign, tryParse } from '../rational.ts';

const greatestWeight = rational(1000n);
const largestDenominator = 1000n;

/**
 * A headcount weight as a person typed it. Our decision: from 0 to 1000, in thousandths at the finest, since weights are small numbers; a longer one comes
 * from a slip and would make every later figure longer. `pointer`: where it was typed. Throws `invalid-input`.
 */
export function typedWeight(text: string, pointer: string): Rational {
  const weight = tryParse(text);
  if (weight && sign(weight) >= 0 && cmp(weight, greatestWeight) <= 0 && weight.d <= largestDenominator) return weight;
  const detail = 'Must be a number such as "2.5" or "7/2", from 0 to 1000, in thousandths at the finest.';
  throw invalidInput([{ pointer, detail }]);
}
