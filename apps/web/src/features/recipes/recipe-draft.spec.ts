import { describe, expect, it } from '@jest/globals';
import {
  containersHold,
  draftOf,
  emptyRecipe,
  emptyStep,
  moved,
  percentOf,
  shareOf,
  versionOf,
  type Recipe,
  type RecipeVersion,
} from './recipe-draft.ts';

const step = (words: string, more: Partial<RecipeVersion['steps'][number]> = {}): RecipeVersion['steps'][number] => ({
  words,
  activeMinutes: 5,
  passiveMinutes: 20,
  place: 'table',
  hands: 1,
  potLitres: null,
  after: null,
  base: false,
  thawKilograms: null,
  ...more,
});

const recipe: Recipe = {
  id: 'recipe',
  name: 'Oat bake',
  version: 3,
  versions: [],
  current: {
    id: 'version',
    number: 2,
    makes: { quantity: '5000', unit: 'g' },
    portions: 12,
    containerPlan: [
      { portions: 2, count: 4, millilitres: 850 },
      { portions: 4, count: 1, millilitres: null },
    ],
    months: 3,
    monthsSource: 'a published table',
    potLitres: '10',
    notes: 'Made up.',
    steps: [
      step('Chop.'),
      step('Stir.', { place: 'hob', after: [], potLitres: '8' }),
      step('Cool.', { after: [0, 1] }),
    ],
    allergens: ['oats'],
    notDeclared: [],
    unfitFor: ['oats', 'gluten'],
    declaredLater: [],
    lines: [
      {
        ingredient: { id: 'oats', name: 'Oats' },
        component: null,
        quantity: '7/2',
        unit: 'kg',
        edibleYield: '0.885',
        note: '',
      },
      {
        ingredient: null,
        component: { versionId: 'base-2', recipeId: 'base', name: 'Base' },
        quantity: '1500',
        unit: 'g',
        edibleYield: null,
        note: 'warm',
      },
    ],
    createdAt: '2026-11-01T10:00:00.000Z',
  },
};

describe('a recipe while it is typed', () => {
  it('comes back as it was when nothing was changed', () => {
    const { makes, portions, containerPlan, months, monthsSource, potLitres, notes, steps } = recipe.current;
    expect(versionOf(draftOf(recipe))).toEqual({
      makes,
      portions,
      containerPlan,
      months,
      monthsSource,
      potLitres,
      notes,
      steps,
      lines: [
        { ingredientId: 'oats', componentVersionId: null, quantity: '7/2', unit: 'kg', edibleYield: '0.885', note: '' },
        {
          ingredientId: null,
          componentVersionId: 'base-2',
          quantity: '1500',
          unit: 'g',
          edibleYield: null,
          note: 'warm',
        },
      ],
    });
  });

  it('adds up what its containers hold', () => {
    expect(containersHold(draftOf(recipe))).toBe(12);
    expect(containersHold(emptyRecipe())).toBe(0);
  });

  it('has neither portions nor containers when it is only ever a component', () => {
    const sent = versionOf({ ...draftOf(recipe), isComponentOnly: true });
    expect([sent.portions, sent.containerPlan]).toEqual([null, []]);
  });

  it('leaves out steps without words', () => {
    expect(versionOf({ ...draftOf(recipe), steps: [emptyStep()] }).steps).toEqual([]);
  });

  it('keeps what a step waits for when steps are moved or removed', () => {
    const { steps } = draftOf(recipe);
    const afterOf = (drafts: typeof steps) =>
      versionOf({ ...draftOf(recipe), steps: drafts }).steps?.map(({ after }) => after);
    expect(afterOf(moved(steps, 1, -1))).toEqual([[], null, [1, 0]]);
    expect(afterOf(moved(steps, 2, -1))).toEqual([null, [0], []]);
    expect(afterOf(steps.slice(1))).toEqual([[], [0]]);
  });

  it.each([
    ['0.89', '89'],
    ['0.885', '88.5'],
    ['0.9', '90'],
    ['0.05', '5'],
    ['1', '100'],
  ])('says a share of %s as %s per cent and back', (share, percent) => {
    expect(percentOf(share)).toBe(percent);
    expect(shareOf(percent)).toBe(share);
  });

  it('moves a line up and down, but not out of the list', () => {
    expect(moved(['a', 'b', 'c'], 1, -1)).toEqual(['b', 'a', 'c']);
    expect(moved(['a', 'b', 'c'], 1, 1)).toEqual(['a', 'c', 'b']);
    expect(moved(['a', 'b', 'c'], 0, -1)).toEqual(['a', 'b', 'c']);
    expect(moved(['a', 'b', 'c'], 2, 1)).toEqual(['a', 'b', 'c']);
  });
});
