import { describe, expect, it } from '@jest/globals';
import type { DomainError } from '../domain-error.ts';
import { findUnit } from '../quantity/units.ts';
import type { Unit } from '../quantity/units.ts';
import { checkIngredient } from './ingredient.ts';
import type { VersionDraft } from './recipe-version.ts';
import { checkNesting, checkVersion, familiarUnitName, lastingUnitName, ownDensity } from './recipe-version.ts';

const known = {
  ingredients: new Map([
    ['flour', { baseUnit: 'g' }],
    ['oil', { baseUnit: 'mL', density: ownDensity('oil', '0.9', 'weighed') }],
  ]),
  components: new Map([['base', { makesUnit: 'L' }]]),
};
const line = (more: Partial<VersionDraft['lines'][number]>): VersionDraft['lines'][number] => ({
  ingredientId: null,
  componentVersionId: null,
  quantity: '1',
  unit: 'g',
  edibleYield: null,
  ...more,
});
const draft = (more: Partial<VersionDraft>): VersionDraft => ({
  makes: { quantity: '1', unit: 'kg' },
  portions: null,
  containerPlan: [],
  potLitres: null,
  lines: [line({ ingredientId: 'flour' })],
  ...more,
});
const faults = (work: () => unknown): (string | undefined)[] => {
  try {
    work();
  } catch (error) {
    const { code, errors } = error as DomainError;
    return [code, ...errors.map(({ pointer }) => pointer)];
  }
  return [];
};

describe('a version of a recipe', () => {
  it('keeps its units under names that mean the same in every set of measures', () => {
    const lines = [
      line({ ingredientId: 'oil', unit: 'cups' }),
      line({ ingredientId: 'oil', unit: 'g' }),
      line({ componentVersionId: 'base', unit: 'imperial-cup' }),
    ];
    expect(checkVersion(draft({ lines, makes: { quantity: '2', unit: 'litres' } }), known, 'us')).toEqual({
      makesUnit: 'L',
      lineUnits: ['us-cup', 'g', 'imperial-cup'],
    });
  });

  it('tells every fault at its place', () => {
    const lines = [
      line({ ingredientId: 'flour', unit: 'mL' }),
      line({ ingredientId: 'nobody', edibleYield: '0' }),
      line({ componentVersionId: 'base', unit: 'each' }),
      line({ ingredientId: 'flour', unit: 'bucketful' }),
      line({ ingredientId: 'flour', unit: 'lb', quantity: '0.1234567890123456789012345678' }),
    ];
    const wrong = {
      makes: { quantity: '0', unit: 'x' },
      potLitres: '0',
      portions: 5,
      containerPlan: [{ portions: 2, count: 2 }],
    };
    expect(faults(() => checkVersion(draft({ ...wrong, lines }), known, 'metric'))).toEqual([
      'invalid-input',
      '#/makes/quantity',
      '#/potLitres',
      '#/makes/unit',
      '#/containerPlan',
      '#/lines/0/unit',
      '#/lines/1/edibleYield',
      '#/lines/1/ingredientId',
      '#/lines/2/unit',
      '#/lines/3/unit',
      '#/lines/4/quantity',
    ]);
    const one = draft({ lines: [line({ ingredientId: 'flour', unit: 'mL' })] });
    expect(faults(() => checkVersion(one, known, 'metric'))).toEqual(['density-missing', '#/lines/0/unit']);
  });

  it('is refused where it would stand in itself, with the names', () => {
    expect(() =>
      checkNesting(
        new Map([
          ['a', ['b']],
          ['b', []],
        ]),
      ),
    ).not.toThrow();
    const cycle = new Map([
      ['jam', ['tart']],
      ['tart', ['jam']],
    ]);
    expect(faults(() => checkNesting(cycle))).toEqual(['recipe-cycle', '#/lines']);
    const deep = new Map(Array.from({ length: 9 }, (_, index) => [`${index}`, index < 8 ? [`${index + 1}`] : []]));
    expect(faults(() => checkNesting(deep))).toEqual(['too-deep', '#/lines']);
  });
});

describe('names of units', () => {
  it('are short to those who use that set of measures and long to the others', () => {
    expect(lastingUnitName(findUnit('cup', 'us') as Unit)).toBe('us-cup');
    expect(lastingUnitName(findUnit('us-cup', 'metric') as Unit)).toBe('us-cup');
    expect(lastingUnitName(findUnit('kg', 'us') as Unit)).toBe('kg');
    expect(familiarUnitName('us-cup', 'us')).toBe('cup');
    expect(familiarUnitName('us-cup', 'metric')).toBe('us-cup');
    expect(familiarUnitName('kg', 'us')).toBe('kg');
  });
});

describe('an ingredient', () => {
  const plain = { density: null, densitySource: null, allergens: [], freeOf: [], tags: [] };

  it('may name allergens of the list, ones of somebody’s own and known tags', () => {
    expect(() =>
      checkIngredient({ ...plain, allergens: ['wheat', 'other:kiwi'], freeOf: ['rye'], tags: ['beef'] }),
    ).not.toThrow();
  });

  it('is refused with what counts for nothing or contradicts itself', () => {
    const wrong = { ...plain, allergens: ['wheat', 'weat'], freeOf: ['gluten'], tags: ['meet'] };
    expect(faults(() => checkIngredient(wrong))).toEqual(['invalid-input', '#/allergens/1', '#/tags/0', '#/freeOf/0']);
    expect(faults(() => checkIngredient({ ...plain, density: '0', densitySource: '' }))).toEqual([
      'invalid-input',
      '#/density',
      '#/densitySource',
    ]);
    expect(faults(() => checkIngredient({ ...plain, densitySource: 'a book' }))).toEqual([
      'invalid-input',
      '#/density',
    ]);
  });
});
