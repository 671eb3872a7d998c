import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { DomainError } from '../domain-error.ts';
import { format, parse } from '../rational.ts';
import { energyRows, energySource, referenceKilocalories } from './energy-table.ts';
import type { Diner, WeightPolicy } from './headcount-weight.ts';
import { energyWeight, headcountWeight, perHeadPolicy } from './headcount-weight.ts';

const energy: WeightPolicy = { scale: 'energy', childWeight: parse('1/2'), childBelow: 12 };

describe('headcount weight', () => {
  it('counts an adult 1 and a child under 12 a half unless told otherwise', () => {
    const diners: Diner[] = [
      { ageBand: 'adult' },
      { ageBand: 'child' },
      { ageBand: 'child', birthYear: 2015 },
      { ageBand: 'child', birthYear: 2014 },
    ];
    // In 2026 the last one is twelve and eats as an adult.
    expect(format(headcountWeight(diners, perHeadPolicy, 2026))).toBe('3');
    const policy: WeightPolicy = { scale: 'per-head', childWeight: parse('0.7'), childBelow: 14 };
    expect(format(headcountWeight(diners, policy, 2026))).toBe('31/10');
  });

  it('takes the age band where a birth year is missing, and the mean where a sex is', () => {
    expect(format(headcountWeight([{ ageBand: 'child' }, { ageBand: 'adult' }], energy, 2026))).toBe('3/2');
    expect(format(energyWeight(12))).toBe('21/20');
    expect(energyWeight(0, 'male')).toEqual(energyWeight(2, 'male'));
    expect(energyWeight(99, 'female')).toEqual(parse('0.9'));
  });

  it('is nil for nobody, and needs a number where households choose their own', () => {
    expect(format(headcountWeight([], energy, 2026))).toBe('0');
    expect(format(headcountWeight([], { scale: 'own' }, 2026, parse('5/2')))).toBe('5/2');
    expect(() => headcountWeight([], { scale: 'own' }, 2026)).toThrow(DomainError);
    expect(() => headcountWeight([], { scale: 'own' }, 2026, parse('-1'))).toThrow(DomainError);
  });

  it('uses the numbers of the published table', () => {
    const file = new URL('../../../../shared/reference/energy.json', import.meta.url);
    const table: unknown = JSON.parse(readFileSync(file, 'utf8'));
    expect(table).toMatchObject({ sources: [energySource], referenceKilocalories, rows: energyRows });
  });
});
