import { describe, expect, it } from '@jest/globals';
import { offersOn, wantedOfProposal } from './proposal.ts';

describe('what is taken over from a proposal', () => {
  it('keeps the places of the dishes that are there, adds the new ones, and leaves out the others', () => {
    const before = [
      { recipeId: 'soup', batches: 2 },
      { recipeId: 'pie', batches: 1 },
    ];
    const dish = (recipeId: string, batches: number) => ({
      ...{ recipeId, batches, name: recipeId, allergens: [], portionsPerBatch: 4 },
      portions: 4 * batches,
    });
    expect(wantedOfProposal(before, { dishes: [dish('bake', 3), dish('pie', 2)] })).toEqual([
      { recipeId: 'pie', batches: 2 },
      { recipeId: 'bake', batches: 3 },
    ]);
  });
});

describe('the packs of a day', () => {
  it('are those whose price holds then', () => {
    const offer = (id: string, validFrom: string, validTo: string | null) => ({ id, validFrom, validTo });
    const offers = [
      offer('old', '2026-01-01', '2026-01-31'),
      offer('now', '2026-02-01', null),
      offer('later', '2026-03-01', null),
    ];
    expect(offersOn(offers as never, '2026-02-10').map(({ id }) => id)).toEqual(['now']);
  });
});
