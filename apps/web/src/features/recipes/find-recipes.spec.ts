import { describe, expect, it } from '@jest/globals';
import type { RecipeSummary } from '../../lib/recipe-queries.ts';
import { findRecipes } from './find-recipes.ts';

const recipe = (name: string, more: Partial<RecipeSummary> = {}): RecipeSummary => ({
  id: name,
  name,
  versionId: `${name}-1`,
  versionNumber: 1,
  portions: 10,
  containerPlan: [],
  allergens: [],
  months: 3,
  usedIn: [],
  components: [],
  ...more,
});
const recipes = [
  recipe('Olla de otoño', { components: ['Caldo claro'], allergens: ['celery'] }),
  recipe('Caldo claro', { usedIn: ['Olla de otoño'], allergens: ['celery'] }),
  recipe('Lentil bake', { allergens: ['milk'] }),
];
const names = (find: string, without = '') => findRecipes(recipes, find, without).map(({ name }) => name);

describe('finding recipes', () => {
  it('looks at names, parts and users, whatever the accents and the case', () => {
    expect(names('OTONO')).toEqual(['Olla de otoño', 'Caldo claro']);
    expect(names('bake')).toEqual(['Lentil bake']);
  });

  it('wants every word', () => {
    expect(names('caldo olla')).toEqual(['Olla de otoño', 'Caldo claro']);
    expect(names('caldo bake')).toEqual([]);
  });

  it('leaves out those that declare an allergen', () => {
    expect(names('', 'celery')).toEqual(['Lentil bake']);
    expect(names('')).toHaveLength(3);
  });
});
