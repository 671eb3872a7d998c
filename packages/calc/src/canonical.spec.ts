import { describe, expect, it } from '@jest/globals';
import { canonicalJson, sortedRecord } from './canonical.ts';

describe('canonicalJson', () => {
  it('sorts keys by UTF-16 code units, as RFC 8785 section 3.2.3 shows', () => {
    // The names of the RFC's own example, in its expected order.
    const sorted = ['\r', '1', '\u0080', '\u00f6', '\u20ac', '\ud83d\ude00', '\ufb33'];
    const record = Object.fromEntries([...sorted].reverse().map((key) => [key, 1]));
    expect(canonicalJson(record)).toBe(`{${sorted.map((key) => `${JSON.stringify(key)}:1`).join(',')}}`);
    expect(canonicalJson({ b: 1, a: [true, null, 'x'] })).toBe('{"a":[true,null,"x"],"b":1}');
  });

  it('leaves out members without a value and keeps a key such as __proto__', () => {
    expect(canonicalJson({ a: undefined, b: 0 })).toBe('{"b":0}');
    expect(canonicalJson(sortedRecord([['__proto__', 1]]))).toBe('{"__proto__":1}');
  });

  it('refuses floats, bigints and functions, which no result may contain', () => {
    for (const value of [0.5, NaN, Infinity, 2 ** 60, 1n, () => 1, undefined]) {
      expect(() => canonicalJson({ value: [value] })).toThrow(TypeError);
    }
  });
});
