import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { DomainError } from '../domain-error.ts';
import { currencyDigits } from './currencies.ts';
import { digitsOf, formatMinor, minorPerUnit, parseMinor } from './minor-units.ts';

describe('minor units', () => {
  // ISO 4217 list one: digits by currency.
  it.each([
    ['EUR', 2],
    ['JPY', 0],
    ['KWD', 3],
    ['CLF', 4],
    // Locale data shows none for these, the standard says otherwise.
    ['HUF', 2],
    ['IQD', 3],
    ['IDR', 2],
    ['XCG', 2],
  ])('knows that %s has %i digits', (currency, digits) => {
    expect(digitsOf(currency)).toBe(digits);
    expect(minorPerUnit(currency)).toBe(10n ** BigInt(digits));
  });

  it('has every code once, in three capital letters', () => {
    expect([...currencyDigits.keys()].every((code) => /^[A-Z]{3}$/.test(code))).toBe(true);
    expect(currencyDigits.size).toBe(166);
  });

  it.each(['eur', 'XAU', 'XTS', '', 'EURO'])('refuses %p as a currency', (currency) => {
    expect(() => digitsOf(currency)).toThrow(DomainError);
  });

  it.each([
    [1250n, 'EUR', '12.50'],
    [-5n, 'EUR', '-0.05'],
    [1250n, 'JPY', '1250'],
    [1n, 'TND', '0.001'],
    [0n, 'USD', '0.00'],
  ])('writes %p in %s as %s', (amount, currency, text) => {
    expect(formatMinor(amount, currency)).toBe(text);
  });

  it('reads fewer decimals and superfluous zeros, and never rounds', () => {
    expect(parseMinor('12.5', 'EUR')).toBe(1250n);
    expect(parseMinor('12.500', 'EUR')).toBe(1250n);
    expect(parseMinor('-7', 'KWD')).toBe(-7000n);
    for (const text of ['12.505', '1,5', '', '1e3', '--1', '.5', '5.', ' 5']) {
      expect(() => parseMinor(text, 'EUR')).toThrow(DomainError);
    }
  });

  it('reads back what it writes, in every currency', () => {
    const anyAmount = fc.bigInt({ min: -(10n ** 15n), max: 10n ** 15n });
    fc.assert(
      fc.property(anyAmount, fc.constantFrom(...currencyDigits.keys()), (amount, currency) => {
        expect(parseMinor(formatMinor(amount, currency), currency)).toBe(amount);
      }),
    );
  });
});
