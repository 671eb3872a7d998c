import { describe, expect, it } from '@jest/globals';
import { exclusionsOf, mayKnowRestrictions } from './who-may-know.ts';

describe('who may know of restrictions', () => {
  const nobody = { ownHousehold: false, coordinator: false, cooksForAll: false };

  it('tells the household itself, coordinators and those who cook for everybody, and nobody else', () => {
    expect(mayKnowRestrictions(nobody)).toBe(false);
    expect(mayKnowRestrictions({ ...nobody, ownHousehold: true })).toBe(true);
    expect(mayKnowRestrictions({ ...nobody, coordinator: true })).toBe(true);
    expect(mayKnowRestrictions({ ...nobody, cooksForAll: true })).toBe(true);
  });
});

describe('what a household leaves out', () => {
  it('lists each subject once, sorted, and a wish only where nobody must', () => {
    const must = { subject: 'milk', strength: 'hard' as const };
    const wish = (subject: string) => ({ subject, strength: 'wish' as const });
    const diners = [{ restrictions: [must, wish('pork')] }, { restrictions: [wish('milk'), wish('egg')] }];
    expect(exclusionsOf(diners)).toEqual({ mustNot: ['milk'], ratherNot: ['egg', 'pork'] });
    expect(exclusionsOf([])).toEqual({ mustNot: [], ratherNot: [] });
  });
});
