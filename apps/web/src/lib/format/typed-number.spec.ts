import { describe, expect, it } from '@jest/globals';
import { formatTyped } from './numbers.ts';
import { decimalToMinor, minorToDecimal, readDecimal } from './typed-number.ts';

describe('readDecimal', () => {
  it.each([
    ['4.36', '4.36'],
    ['4,36', '4.36'],
    [' 4.36 ', '4.36'],
    ['٤٫٣٦', '4.36'],
    ['۴٫۳۶', '4.36'],
    ['1.250,50', '1250.50'],
    ['1,250.50', '1250.50'],
    ['1,234,567.8', '1234567.8'],
    ['1.234.567,8', '1234567.8'],
    ['١٬٢٥٠٫٥', '1250.5'],
    ['1 250,5', '1250.5'],
    ['1\u202F250,5', '1250.5'],
    ['1’250.5', '1250.5'],
    ['1,250', '1.250'],
    ['.5', '0.5'],
    ['5.', '5'],
    ['007', '7'],
    ['-3,5', '-3.5'],
    ['\u22123.5', '-3.5'],
    ['\u061C-٣٫٥', '-3.5'],
    ['-0', '0'],
  ])('reads %j as %j', (typed, expected) => {
    expect(readDecimal(typed)).toBe(expected);
  });

  it.each(['', ' ', '.', '-', '4.3x', '1.2.3', '1,2,3', '1.2,3.4', '4e3', '--4', 'NaN', '½'])(
    'does not read %j',
    (typed) => {
      expect(readDecimal(typed)).toBeNull();
    },
  );
});

describe('decimalToMinor and minorToDecimal', () => {
  it.each([
    ['27.9', 2, '2790'],
    ['27', 2, '2700'],
    ['0.05', 2, '5'],
    ['-8.4', 2, '-840'],
    ['1.234', 3, '1234'],
    ['67', 0, '67'],
    ['27.900', 2, '2790'],
  ])('writes %s with %i digits as %s', (decimal, digits, minor) => {
    expect(decimalToMinor(decimal, digits)).toBe(minor);
  });

  it('refuses more decimals than the currency has', () => {
    expect(decimalToMinor('27.905', 2)).toBeNull();
    expect(decimalToMinor('67.5', 0)).toBeNull();
  });

  it.each([
    ['2790', 2, '27.90'],
    ['5', 2, '0.05'],
    ['-840', 2, '-8.40'],
    ['67', 0, '67'],
    ['1234', 3, '1.234'],
  ])('begins a field with %s at %i digits as %s', (minor, digits, decimal) => {
    expect(minorToDecimal(minor, digits)).toBe(decimal);
  });
});

describe('a number as a field shows it', () => {
  it.each(['en-GB', 'en-US', 'es-ES', 'ar-EG-u-nu-arab'])('is read back as the same number in %s', (locale) => {
    for (const decimal of ['9500', '1234567.5', '0.125', '-12.5', '0']) {
      expect(readDecimal(formatTyped(decimal, locale, { least: 0, most: 3 }))).toBe(decimal);
    }
  });
});
