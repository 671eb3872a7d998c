import type { Rational } from '../rational.ts';
import { rational, tryParse } from '../rational.ts';

/** A number of a result as it claims to be, which may be longer than what is read as input; undefined when it is none. */
export function claimedNumber(text: string | undefined): Rational | undefined {
  if (typeof text !== 'string') return undefined;
  const [n = '', d = '1'] = text.split('/');
  return /^-?\d{1,2000}$/.test(n) && /^[1-9]\d{0,999}$/.test(d) ? rational(BigInt(n), BigInt(d)) : tryParse(text);
}
