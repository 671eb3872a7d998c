import { describe, expect, it } from '@jest/globals';
import { readIfMatch, requireVersion } from './if-match.ts';

const codeOf = (act: () => unknown): unknown => {
  try {
    return act();
  } catch (error) {
    return (error as { code?: string }).code;
  }
};

describe('If-Match', () => {
  it('names a version as a strong entity tag (RFC 9110, section 8.8.3)', () => {
    expect(readIfMatch('"1"')).toBe(1);
    expect(readIfMatch(' "42" ')).toBe(42);
  });

  it('must be there, and must name one version', () => {
    expect(codeOf(() => readIfMatch(undefined))).toBe('precondition-required');
    for (const header of ['', '*', '1', 'W/"1"', '"0"', '"-1"', '"01"', '"1.5"', '"1", "2"', '"9999999999"']) {
      expect([header, codeOf(() => readIfMatch(header))]).toEqual([header, 'precondition-failed']);
    }
  });

  it('must name the present one', () => {
    expect(codeOf(() => requireVersion(3, 3))).toBeUndefined();
    expect(codeOf(() => requireVersion(3, 2))).toBe('precondition-failed');
  });
});
