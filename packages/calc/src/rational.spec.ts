import { describe, expect, it } from '@jest/globals';
import {
  add,
  ceil,
  ceilTo,
  div,
  floor,
  format,
  mul,
  parse,
  rational,
  round,
  roundTo,
  sub,
  shown,
  toDecimal,
  tryParse,
} from './rational.ts';

const r = parse;

describe('rational', () => {
  it('keeps every value in lowest terms with a positive denominator', () => {
    expect(rational(6n, -4n)).toEqual({ n: -3n, d: 2n });
    expect(rational(0n, -7n)).toEqual({ n: 0n, d: 1n });
  });

  it('reckons exactly', () => {
    expect(format(add(r('1/3'), r('1/6')))).toBe('1/2');
    expect(format(sub(r('0.1'), r('0.3')))).toBe('-1/5');
    expect(format(mul(r('4/3'), r('9/4')))).toBe('3');
    expect(format(div(r('2'), r('0.61')))).toBe('200/61');
  });

  it('reads fractions, decimals and integers, and refuses everything else', () => {
    expect(format(r('-3.50'))).toBe('-7/2');
    expect(format(r('007'))).toBe('7');
    for (const text of [
      '',
      ' 1',
      '1 ',
      '+1',
      '.5',
      '5.',
      '1e3',
      '1/0',
      '1/-2',
      '1.5/2',
      '٣',
      'NaN',
      '--1',
      '1_000',
      '0x10',
    ]) {
      expect(tryParse(text)).toBeUndefined();
    }
  });

  it('refuses a number text of more than 60 characters', () => {
    expect(tryParse('9'.repeat(60))).toBeDefined();
    expect(tryParse('9'.repeat(61))).toBeUndefined();
  });

  it('rounds down, up and to the nearest, a half upwards', () => {
    expect([floor(r('-7/2')), ceil(r('-7/2')), round(r('-7/2'))]).toEqual([-4n, -3n, -3n]);
    expect([floor(r('7/2')), ceil(r('7/2')), round(r('7/2'))]).toEqual([3n, 4n, 4n]);
    expect([floor(r('-4')), ceil(r('-4')), round(r('-4'))]).toEqual([-4n, -4n, -4n]);
    expect(format(roundTo(r('5.60'), r('1/4')))).toBe('11/2');
    expect(format(ceilTo(r('200/61'), r('1/2')))).toBe('7/2');
  });

  it('writes decimals rounded half away from nil, without a minus before nil', () => {
    expect(toDecimal(r('2/3'), 3)).toBe('0.667');
    expect(toDecimal(r('-1/200'), 2)).toBe('-0.01');
    expect(toDecimal(r('-1/1000'), 2)).toBe('0.00');
    expect(toDecimal(r('7/2'), 0)).toBe('4');
    expect(toDecimal(r('1234.5'), 2)).toBe('1234.50');
  });

  it('is shown exactly where that can be read back, else to a millionth', () => {
    expect(shown(r('-7/2'))).toBe('-7/2');
    const long = div(r('100000000000000000000000000001'), r('3000000000000000000000000000000007'));
    expect([format(long).length, shown(long)]).toEqual([65, '0.000033']);
  });

  it('refuses to divide by nil and to grow fractions without end', () => {
    expect(() => div(r('1'), r('0'))).toThrow(RangeError);
    expect(() => rational(1n, 10n ** 1001n)).toThrow(expect.objectContaining({ code: 'too-large' }));
  });
});
