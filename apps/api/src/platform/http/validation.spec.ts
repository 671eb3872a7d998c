import { describe, expect, it } from '@jest/globals';
import { pointerTo } from './validation.ts';

describe('a pointer to a field', () => {
  // RFC 6901, section 6: the examples of the fragment form, for the document of section 5.
  it('is the fragment form of a JSON pointer', () => {
    expect(pointerTo([])).toBe('#');
    expect(pointerTo(['foo', 0])).toBe('#/foo/0');
    expect(pointerTo([''])).toBe('#/');
    expect(pointerTo(['a/b'])).toBe('#/a~1b');
    expect(pointerTo(['c%d'])).toBe('#/c%25d');
    expect(pointerTo(['e^f'])).toBe('#/e%5Ef');
    expect(pointerTo(['k"l'])).toBe('#/k%22l');
    expect(pointerTo([' '])).toBe('#/%20');
    expect(pointerTo(['m~n'])).toBe('#/m~0n');
  });
});
