import type { Rational } from '../rational.ts';
import { add, mul, rational, sub } from '../rational.ts';

const freezingFahrenheit = rational(32n);
const fahrenheitPerCelsius = rational(9n, 5n);

/** Degrees Fahrenheit to Celsius, exact: (F - 32) x 5/9, by the definition of the scales; 41 F is 5 C. */
export const celsiusOf = (fahrenheit: Rational): Rational => mul(sub(fahrenheit, freezingFahrenheit), rational(5n, 9n));

/** Degrees Celsius to Fahrenheit, exact: C x 9/5 + 32; -18 C is -2/5 F. */
export const fahrenheitOf = (celsius: Rational): Rational =>
  add(mul(celsius, fahrenheitPerCelsius), freezingFahrenheit);
