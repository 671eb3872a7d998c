import { headcountWeight, rational } from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';
import { isChild, policyOf, weightLines, weightOf, type Counted } from './weight-policy.ts';

const adult = (birthYear: number | null = null): Counted => ({ ageBand: 'adult', birthYear });
const child = (birthYear: number | null = null): Counted => ({ ageBand: 'child', birthYear });
const family = [adult(), adult(1990), child(), child(2020), child(2010)];

describe('how a headcount comes about', () => {
  const perHead = policyOf({ weightScale: 'per-head', childWeight: '1/2' });

  it('groups those who count the same, so that the lines sum to the headcount', () => {
    const lines = weightLines(family, perHead, 2026);
    expect(lines.map(({ diners, each }) => [diners, rational.format(each)])).toEqual([
      [3, '1'],
      [2, '1/2'],
    ]);
    const known = family.map(({ ageBand, birthYear }) => (birthYear === null ? { ageBand } : { ageBand, birthYear }));
    expect(rational.sum(lines.map(({ total }) => total))).toEqual(headcountWeight(known, perHead, 2026));
  });

  it('lets the year of birth decide over what was chosen', () => {
    expect(isChild(child(2010), 2026)).toBe(false);
    expect(isChild(adult(2020), 2026)).toBe(true);
    expect(isChild(child(), 2026)).toBe(true);
  });

  // Dietary Guidelines for Americans 2020-2025, moderately active: 1400 and 1400 kcal at 4, over 2000.
  it('counts by age on the scale by energy', () => {
    const energy = policyOf({ weightScale: 'energy', childWeight: '1/2' });
    expect(weightOf(child(2022), energy, 2026)).toEqual(rational.parse('7/10'));
  });

  it('has no lines where every household has its own number', () => {
    expect(weightLines(family, policyOf({ weightScale: 'own', childWeight: '1/2' }), 2026)).toEqual([]);
  });
});
