import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { DomainError } from '../domain-error.ts';
import { allergenRows, allergenSources, groupsOf, isAllergen, membersOf } from './allergen-table.ts';
import type { AllergenRecipe } from './allergens-of.ts';
import { allergensOf } from './allergens-of.ts';
import { dietRows, ingredientTags } from './diets.ts';
import type { Declared } from './restriction.ts';
import { conflicts, isRestriction, standingOf } from './restriction.ts';

const contains = (...allergens: string[]): Declared => ({ allergens });

describe('conflicts', () => {
  it('tells everyone who avoids tree nuts of any member', () => {
    for (const member of membersOf('tree_nut')) expect(conflicts('tree_nut', contains(member))).toBe(true);
    expect(membersOf('tree_nut')).toHaveLength(12);
  });

  it('lets one who avoids cashew eat almond, but not an unresolved mixture of nuts', () => {
    expect(conflicts('cashew', contains('almond'))).toBe(false);
    expect(conflicts('cashew', contains('tree_nut'))).toBe(true);
    expect(standingOf('cashew', contains('tree_nut'))).toBe('may-contain');
  });

  it('knows wheat as gluten but gluten not as wheat', () => {
    expect(standingOf('gluten', contains('wheat'))).toBe('contains');
    expect(conflicts('wheat', contains('barley'))).toBe(false);
    // Somebody wrote only the group: it is not said to be wheat, and it is not safe either.
    expect(standingOf('wheat', contains('gluten'))).toBe('may-contain');
    expect(standingOf('wheat', { allergens: ['gluten'], freeOf: ['wheat'] })).toBe('free');
  });

  it('follows a sub-kind through its group to the group of the group', () => {
    expect(groupsOf('walnut.black')).toEqual(['walnut', 'tree_nut']);
    expect(conflicts('tree_nut', contains('walnut.black'))).toBe(true);
    expect(conflicts('walnut', contains('heartnut'))).toBe(true);
    expect(conflicts('heartnut', contains('walnut.black'))).toBe(false);
    expect(conflicts('heartnut', contains('tree_nut'))).toBe(true);
  });

  it('never takes what is not declared for free', () => {
    expect(standingOf('milk', contains('egg'))).toBe('not-declared');
    expect(standingOf('milk', { allergens: [], freeOf: ['milk'] })).toBe('free');
    expect(standingOf('cashew', { allergens: [], freeOf: ['tree_nut'] })).toBe('free');
    expect(standingOf('gluten', { allergens: [], freeOf: ['wheat', 'rye', 'barley'] })).toBe('not-declared');
    expect(standingOf('gluten', { allergens: [], freeOf: ['wheat', 'rye', 'barley', 'oats'] })).toBe('free');
  });

  it('compares what is on no list as it is written', () => {
    expect(conflicts('other:kiwi', contains('other:kiwi'))).toBe(true);
    expect(conflicts('other:kiwi', contains('other:peach'))).toBe(false);
    expect(isAllergen('other:kiwi')).toBe(true);
    expect(isAllergen('other:')).toBe(false);
    expect(isRestriction('no_pork')).toBe(true);
    expect(isRestriction('paleo')).toBe(false);
  });

  it('judges diets by tags and by allergens that give the food away', () => {
    expect(conflicts('no_meat', { allergens: [], tags: ['pork'] })).toBe(true);
    expect(conflicts('no_pork', { allergens: [], tags: ['beef'] })).toBe(false);
    expect(conflicts('no_meat', { allergens: ['fish'], tags: ['fish'] })).toBe(false);
    expect(conflicts('no_meat_or_fish', contains('fish'))).toBe(true);
    expect(conflicts('vegan', contains('milk'))).toBe(true);
    expect(conflicts('vegan', { allergens: ['wheat'], tags: [] })).toBe(false);
  });
});

describe('allergensOf', () => {
  const recipes = new Map<string, AllergenRecipe>(
    [
      { id: 'sauce', lines: [{ item: 'tomato' }, { item: 'butter' }] },
      { id: 'filling', lines: [{ recipe: 'sauce' }, { item: 'barley' }], added: ['sesame'] },
      { id: 'pie', lines: [{ recipe: 'filling' }, { recipe: 'sauce' }, { item: 'mince' }, { item: 'muesli' }] },
    ].map((recipe) => [recipe.id, recipe]),
  );
  const ingredients = new Map<string, Declared>([
    ['tomato', { allergens: [], freeOf: allergenRows.map(({ id }) => id) }],
    ['butter', contains('milk')],
    ['barley', contains('barley')],
    ['mince', { allergens: [], tags: ['beef'] }],
    ['muesli', contains('gluten')],
  ]);

  it('collects through every component, with groups, additions and diets', () => {
    const { declared, withGroups, unfitFor } = allergensOf('filling', recipes, ingredients);
    expect(declared).toEqual(['barley', 'milk', 'sesame']);
    expect(withGroups).toEqual(['barley', 'gluten', 'milk', 'sesame']);
    expect(unfitFor).toEqual(['barley', 'gluten', 'milk', 'sesame', 'vegan']);
  });

  it('does not let the barley of one ingredient resolve the gluten of another', () => {
    const { unfitFor } = allergensOf('pie', recipes, ingredients);
    for (const id of ['wheat', 'rye', 'oats', 'barley', 'no_meat', 'no_beef']) expect(unfitFor).toContain(id);
    expect(unfitFor).not.toContain('no_pork');
  });

  it('names what nobody has declared', () => {
    expect(allergensOf('sauce', recipes, ingredients).notDeclared).toContain('celery');
    const plain = new Map([['plain', { id: 'plain', lines: [{ item: 'tomato' }] }]]);
    expect(allergensOf('plain', plain, ingredients).notDeclared).toEqual([]);
    expect(allergensOf('plain', plain, new Map()).notDeclared).toHaveLength(allergenRows.length);
  });

  it('refuses a cycle and an unknown component', () => {
    const round = new Map<string, AllergenRecipe>([
      ['a', { id: 'a', lines: [{ recipe: 'b' }] }],
      ['b', { id: 'b', lines: [{ recipe: 'a' }] }],
    ]);
    expect(() => allergensOf('a', round, ingredients)).toThrow(/a > b > a/);
    expect(() => allergensOf('nothing', round, ingredients)).toThrow(DomainError);
  });
});

describe('the tables', () => {
  it('are those of the published file', () => {
    const file = new URL('../../../../shared/reference/allergens.json', import.meta.url);
    const table = JSON.parse(readFileSync(file, 'utf8')) as Record<string, unknown>;
    expect(table.allergens).toEqual(allergenRows);
    expect(table.sources).toEqual(allergenSources);
    expect(table.diets).toEqual(dietRows);
    expect(table.tags).toEqual([...ingredientTags].map(([id, within]) => (within ? { id, within } : { id })));
  });

  it('have every id once, and groups that exist', () => {
    const ids = allergenRows.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const { within } of allergenRows) if (within) expect(ids).toContain(within);
    for (const diet of dietRows) for (const tag of diet.tags) expect(ingredientTags.has(tag)).toBe(true);
  });

  it.each([
    // US: nine (FD&C Act 201(qq)), EU: fourteen (Annex II of Regulation 1169/2011); groups counted once, members not.
    ['us', ['crustacean', 'egg', 'fish', 'milk', 'peanut', 'sesame', 'soy', 'tree_nut', 'wheat']],
    [
      'eu',
      [
        'celery',
        'crustacean',
        'egg',
        'fish',
        'gluten',
        'lupin',
        'milk',
        'mollusc',
        'mustard',
        'peanut',
        'sesame',
        'soy',
        'sulphite',
        'tree_nut',
      ],
    ],
  ] as const)('have the entries of the %s list', (list, expected) => {
    const named = allergenRows.filter(({ lists }) => lists.includes(list));
    const top = named.filter(
      ({ within }) => within === undefined || !named.some(({ id }) => groupsOf(within).concat(within).includes(id)),
    );
    expect(top.map(({ id }) => id).sort()).toEqual(expected);
  });
});
