import { describe, expect, it } from '@jest/globals';
import { format } from '../rational.ts';
import { typedWeight } from './typed-weight.ts';

describe('a typed weight', () => {
  it.each([
    ['0', '0'],
    ['2.5', '5/2'],
    ['7/2', '7/2'],
    ['0.125', '1/8'],
    ['1000', '1000'],
  ])('%s is read exactly', (text, exact) => {
    expect(format(typedWeight(text, '#/weight'))).toBe(exact);
  });

  it.each(['', 'two', '-1', '1000.5', '0.0001', '1/1001', '1/0'])('refuses "%s"', (text) => {
    expect(() => typedWeight(text, '#/ownWeight')).toThrow(
      expect.objectContaining({ code: 'invalid-input', errors: [expect.objectContaining({ pointer: '#/ownWeight' })] }),
    );
  });
});
