import { invalidInput, rational, type Rational } from '@frostmoot/calc';

const perLitre = rational.rational(1000n);
const MOST_MILLILITRES = 100_000_000n;

/** Litres as whole millilitres; refuses what is finer or more than anybody has. */
export function potMillilitres(litres: Rational, pointer: string): number {
  const millilitres = rational.mul(litres, perLitre);
  if (!rational.isInteger(millilitres) || millilitres.n > MOST_MILLILITRES) {
    throw invalidInput([{ pointer, detail: 'Whole millilitres, at most 100,000 litres.' }]);
  }
  return Number(millilitres.n);
}

/** Millilitres as litres, exact. */
export const litresOf = (millilitres: number): string => rational.format(rational.rational(BigInt(millilitres), 1000n));

/** Exact litres as whole millilitres, upwards. */
export function millilitresFor(litres: string): number {
  const { n, d } = rational.parse(litres);
  return Number((n * 1000n + d - 1n) / d);
}
