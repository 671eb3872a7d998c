import { describe, expect, it } from '@jest/globals';
import { againstWanted, batchesOf, plannedPortions, withBatches } from './dish-draft.ts';

const plan = [
  { recipeId: 'chilli', batches: 1 },
  { recipeId: 'stew', batches: 2 },
];

describe('changing the dishes of a plan', () => {
  it('keeps the order when batches change', () => {
    expect(withBatches(plan, 'chilli', 3)).toEqual([
      { recipeId: 'chilli', batches: 3 },
      { recipeId: 'stew', batches: 2 },
    ]);
  });

  it('puts a new dish last and takes out one without batches', () => {
    expect(withBatches(plan, 'bake', 1).map(({ recipeId }) => recipeId)).toEqual(['chilli', 'stew', 'bake']);
    expect(withBatches(plan, 'chilli', 0)).toEqual([{ recipeId: 'stew', batches: 2 }]);
    expect(batchesOf(plan, 'bake')).toBe(0);
  });

  it('adds up portions', () => {
    expect(plannedPortions(plan, (recipeId) => (recipeId === 'chilli' ? 24 : 12))).toBe(48);
  });

  it('says by how much the plan is short or over, exactly', () => {
    expect(againstWanted(70, '72')).toEqual({ kind: 'short', by: '2' });
    expect(againstWanted(72, '72')).toEqual({ kind: 'even', by: '0' });
    expect(againstWanted(73, '145/2')).toEqual({ kind: 'over', by: '1/2' });
  });
});
