import { describe, expect, it } from '@jest/globals';
import { format, parse, toDecimal } from '../rational.ts';
import { celsiusOf, fahrenheitOf } from './temperature.ts';

describe('temperatures', () => {
  // The pairs as FDA Food Code 3-501.14 and 3-501.16 print them, and the freezer's -18 C.
  it.each([
    ['41', '5'],
    ['135', '57'],
    ['70', '21'],
    ['165', '74'],
    ['0', '-18'],
  ])('%s F is %s C as printed', (fahrenheit, celsius) => {
    expect(toDecimal(celsiusOf(parse(fahrenheit)), 0)).toBe(celsius);
  });

  it('go there and back exactly', () => {
    expect(format(fahrenheitOf(parse('-18')))).toBe('-2/5');
    expect(format(celsiusOf(fahrenheitOf(parse('37.2'))))).toBe('186/5');
  });
});
