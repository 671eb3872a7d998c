import { describe, expect, it } from '@jest/globals';
import { keptClaims } from './kept-claims.ts';

// Our own rule (ADR 70); every case is worked out by hand.
const boxes = (...sizes: number[]) =>
  sizes.map((portions, index) => ({ id: `c${index + 1}`, number: index + 1, portions }));
const claim = (who: string, number: number, portions: number) => ({ who, number, portions });
const ofThem = (claims: ReturnType<typeof claim>[], ...sizes: number[]) => {
  const { kept, lost } = keptClaims(claims, boxes(...sizes));
  return [kept.map((one) => `${one.claim.who} ${one.container.id}`), lost.map(({ who }) => who)];
};

describe('claims when a batch is counted anew', () => {
  it('stay on the same container where it is there again', () => {
    expect(ofThem([claim('a', 3, 4), claim('b', 1, 4)], 4, 4, 4)).toEqual([['a c3', 'b c1'], []]);
  });
  it('go on with another of the same size, and not with one that somebody else was on', () => {
    expect(ofThem([claim('a', 3, 4), claim('b', 1, 4)], 4, 4)).toEqual([['a c2', 'b c1'], []]);
  });
  it('are kept for whoever came first when there are fewer', () => {
    expect(ofThem([claim('a', 3, 4), claim('b', 1, 4)], 4)).toEqual([['a c1'], ['b']]);
  });
  it('do not go over to another size', () => {
    expect(ofThem([claim('a', 1, 4)], 2, 2)).toEqual([[], ['a']]);
    expect(ofThem([claim('a', 1, 4), claim('b', 2, 2)], 2, 4)).toEqual([['a c2', 'b c1'], []]);
  });
  it('are all lost with a batch that is thrown away', () => {
    expect(ofThem([claim('a', 1, 4)])).toEqual([[], ['a']]);
  });
});
