import { describe, expect, it } from '@jest/globals';
import { readInput } from '../input.ts';
import { format } from '../rational.ts';
import { edibleYieldChoice } from './edible-yield.ts';

describe('edibleYieldChoice', () => {
  it("reads a figure of one's own or one of a published table", () => {
    expect(format(readInput(edibleYieldChoice, '0.61').part)).toBe('61/100');
    expect(readInput(edibleYieldChoice, { source: 'afrs', item: 'carrot' })).toEqual({
      part: { n: 50n, d: 61n },
      source: 'afrs',
    });
    expect(readInput(edibleYieldChoice, { source: 'usda-sr28', item: 'carrot' })).toEqual({
      part: { n: 89n, d: 100n },
      source: 'usda-sr28',
    });
  });

  it.each([
    ['0', 'invalid-input'],
    ['1.01', 'invalid-input'],
    [null, 'invalid-input'],
    [{ source: 'afrs', item: 'moon' }, 'unknown-yield'],
    [{ source: 'nobody', item: 'carrot' }, 'unknown-yield'],
  ])('refuses %j', (choice, code) => {
    expect(() => readInput(edibleYieldChoice, choice)).toThrow(expect.objectContaining({ code }));
  });
});
