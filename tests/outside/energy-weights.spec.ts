import type { Diner, WeightPolicy } from '@frostmoot/calc';
import { allocateByWeight, headcountWeight, rational } from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';

const { format, parse } = rational;
const energy: WeightPolicy = { scale: 'energy', childWeight: parse('1/2'), childBelow: 12 };
const born = (age: number, sex: 'male' | 'female'): Diner => ({
  ageBand: age < 12 ? 'child' : 'adult',
  birthYear: 2025 - age,
  sex,
});

describe('energy weights, against the Dietary Guidelines for Americans 2020-2025', () => {
  // Moderately active: a man of 35 at 2400 kcal a day (the lower figure of 31 to 50), a woman of 35 at 2000, a boy of 10 at 1800, a girl of 6
  // at 1400; over 2000 kcal that is 1.20 + 1.00 + 0.90 + 0.70.
  const ours = headcountWeight(
    [born(35, 'male'), born(35, 'female'), born(10, 'male'), born(6, 'female')],
    energy,
    2025,
  );
  const theirs = headcountWeight([born(35, 'female'), born(35, 'female')], energy, 2025);

  it('counts a family of four as 3.80 and two women as 2', () => {
    expect(format(ours)).toBe('19/5');
    expect(format(theirs)).toBe('2');
  });

  it('divides 40 portions between them as 26 and 14', () => {
    const portions = allocateByWeight(
      40n,
      new Map([
        ['ours', ours],
        ['theirs', theirs],
      ]),
      'any',
    );
    expect(portions).toEqual(
      new Map([
        ['ours', 26n],
        ['theirs', 14n],
      ]),
    );
  });

  it('makes two for a family of three or four of a batch that is one dinner for seven', () => {
    // Common practice, no source.
    const portions = allocateByWeight(
      7n,
      new Map([
        ['three', parse('3')],
        ['four', parse('4')],
      ]),
      'any',
    );
    expect(portions).toEqual(
      new Map([
        ['three', 3n],
        ['four', 4n],
      ]),
    );
  });
});
