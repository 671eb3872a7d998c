import { describe, expect, it } from '@jest/globals';
import { restrictionSources } from './restriction-sources.ts';

const recipes = new Map([
  ['pie', { id: 'pie', lines: [{ item: 'leeks' }, { recipe: 'pastry' }, { recipe: 'sauce' }] }],
  ['pastry', { id: 'pastry', lines: [{ item: 'flour' }, { item: 'butter' }] }],
  ['sauce', { id: 'sauce', lines: [{ recipe: 'roux' }, { item: 'milk' }] }],
  ['roux', { id: 'roux', lines: [{ item: 'flour' }, { item: 'beer' }] }],
]);
const declared = new Map([
  ['leeks', { allergens: [] }],
  ['flour', { allergens: ['wheat'] }],
  ['butter', { allergens: ['milk'] }],
  ['milk', { allergens: ['milk'] }],
  ['beer', { allergens: ['gluten'] }],
]);

describe('which ingredient brings what somebody must not eat', () => {
  it('is named once with the shortest way to it', () => {
    expect(restrictionSources('pie', recipes, declared, 'wheat')).toEqual([
      { item: 'flour', through: ['pastry'] },
      // Only the group was declared, so that wheat is possible.
      { item: 'beer', through: ['sauce', 'roux'] },
    ]);
    expect(restrictionSources('pie', recipes, declared, 'milk').map(({ item }) => item)).toEqual(['butter', 'milk']);
  });

  it('is nothing where no line brings it', () => {
    expect(restrictionSources('pie', recipes, declared, 'fish')).toEqual([]);
  });
});
