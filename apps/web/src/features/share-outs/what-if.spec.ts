import { describe, expect, it } from '@jest/globals';
import { differenceOf } from './what-if.ts';

const dish = (recipeId: string, portions: number) => ({ recipeId, name: recipeId, portions });

describe('the difference that a change makes', () => {
  it('says what is more and what is fewer, and nothing of what stays', () => {
    const before = [dish('stew', 4), dish('pie', 6), dish('soup', 2)];
    const after = [dish('stew', 4), dish('pie', 3), dish('chilli', 3)];
    expect(differenceOf(before, after).map(({ name, by }) => [name, by])).toEqual([
      ['chilli', 3],
      ['pie', -3],
      ['soup', -2],
    ]);
    expect(differenceOf(before, before)).toEqual([]);
  });
});
