import { describe, expect, it } from '@jest/globals';
import { currencySymbol, formatMoney, formatQuantity, formatUnit } from './numbers.ts';

const euro = { currency: 'EUR', currencyDigits: 2 };
const plain = (text: string) => text.replaceAll('\u00A0', ' ').replaceAll('\u202F', ' ');

describe('formatMoney', () => {
  it('writes minor units in the form of the language', () => {
    expect(formatMoney('6720', 'en-GB', euro)).toBe('€67.20');
    expect(plain(formatMoney('6720', 'es-ES', euro))).toBe('67,20 €');
    expect(plain(formatMoney('6720', 'ar-EG-u-nu-arab', euro))).toContain('٦٧٫٢٠');
  });

  // ISO 4217 gives the Iraqi dinar three digits; Intl (CLDR) writes none, so its own digits must never be used.
  it('takes the digits of ISO 4217 from the cooperative, not those of Intl', () => {
    const dinar = { currency: 'IQD', currencyDigits: 3 };
    expect(
      new Intl.NumberFormat('en-GB', { style: 'currency', currency: 'IQD' }).resolvedOptions().maximumFractionDigits,
    ).toBe(0);
    expect(formatMoney('1234', 'en-GB', dinar, { symbol: false })).toBe('1.234');
    expect(formatMoney('1234', 'en-GB', { currency: 'JPY', currencyDigits: 0 })).toBe('¥1,234');
  });

  it('is exact where a float would not be', () => {
    expect(formatMoney('999999999999999', 'en-GB', euro, { symbol: false })).toBe('9,999,999,999,999.99');
    expect(formatMoney('123456789012345678901', 'en-GB', euro, { symbol: false })).toBe('1,234,567,890,123,456,789.01');
  });

  it('signs with a true minus, and leaves nil without a sign', () => {
    expect(formatMoney('-384', 'en-GB', euro, { sign: 'exceptZero', symbol: false })).toBe('\u22123.84');
    expect(formatMoney('6980', 'en-GB', euro, { sign: 'exceptZero', symbol: false })).toBe('+69.80');
    expect(formatMoney('0', 'en-GB', euro, { sign: 'exceptZero', symbol: false })).toBe('0.00');
  });

  it('keeps the Arabic letter mark beside the sign, so that it does not jump', () => {
    expect(formatMoney('-384', 'ar-EG-u-nu-arab', euro, { sign: 'exceptZero', symbol: false })).toBe(
      '\u061C\u2212٣٫٨٤',
    );
    expect(formatMoney('384', 'ar-EG-u-nu-arab', euro, { sign: 'exceptZero', symbol: false })).toBe('\u061C+٣٫٨٤');
  });

  it('names the currency by its sign', () => {
    expect(currencySymbol('en-GB', 'EUR')).toBe('€');
  });
});

describe('formatQuantity', () => {
  it.each([
    ['1273/100', 2, 2, '12.73'],
    ['37/3', 2, 2, '12.33'],
    ['3', 0, 2, '3'],
    ['7/2', 0, 2, '3.5'],
    ['0.125', 0, 2, '0.13'],
    ['-2/3', 0, 2, '\u22120.67'],
    ['5000', 0, 0, '5,000'],
  ])('writes %s with %i to %i digits as %s', (value, least, most, text) => {
    expect(formatQuantity(value, 'en-GB', { least, most })).toBe(text);
  });
});

describe('formatUnit', () => {
  it('lets the language place and decline the unit', () => {
    expect(plain(formatUnit('5/2', 'kilogram', 'en-GB'))).toMatch(/^2\.5 ?kg$/);
    expect(plain(formatUnit('1', 'liter', 'en-GB', { least: 0, most: 1 }, 'long'))).toBe('1 litre');
    expect(plain(formatUnit('35', 'liter', 'es-ES', { least: 0, most: 1 }, 'long'))).toBe('35 litros');
  });
});
