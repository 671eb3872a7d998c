import { describe, expect, it } from '@jest/globals';
import { recipeOrder } from './recipe-order.ts';

const graph = (record: Record<string, string[]>) => new Map(Object.entries(record));

describe('recipeOrder', () => {
  it('puts every recipe after all that use it, ties by id', () => {
    expect(recipeOrder(graph({ base: [], ragu: ['base'], bake: ['ragu', 'base'], pie: ['base'] }))).toEqual([
      'bake',
      'pie',
      'ragu',
      'base',
    ]);
  });

  it('looks at a recipe once even when it is used twice in one dish, and not at items', () => {
    expect(recipeOrder(graph({ pie: ['base', 'base', 'salt'], base: [] }))).toEqual(['pie', 'base']);
  });

  it.each([
    [{ a: ['b'], b: ['a'] }, 'a > b > a'],
    [{ a: ['a'] }, 'a > a'],
    [{ z: ['y'], y: ['x'], x: ['z'], top: ['z'], under: [] }, 'x > z > y > x'],
    [{ a: ['b'], b: ['c'], c: ['b', 'd'], d: [] }, 'b > c > b'],
  ])('names the cycle in %j', (record, cycle) => {
    expect(() => recipeOrder(graph(record as Record<string, string[]>))).toThrow(
      expect.objectContaining({ code: 'recipe-cycle', params: { cycle } }),
    );
  });

  it('takes eight recipes in one another and refuses nine', () => {
    const chain = (length: number) =>
      new Map(Array.from({ length }, (_, i) => [`r${i + 1}`, i + 1 < length ? [`r${i + 2}`] : []] as const));
    expect(recipeOrder(chain(8))).toHaveLength(8);
    expect(() => recipeOrder(chain(9))).toThrow(
      expect.objectContaining({
        code: 'too-deep',
        params: { deepest: 8, path: 'r1 > r2 > r3 > r4 > r5 > r6 > r7 > r8 > r9' },
      }),
    );
  });

  it('finds a cycle of thousands of recipes without running out of stack, and names it briefly', () => {
    const ring = new Map(Array.from({ length: 5000 }, (_, i) => [`r${i}`, [`r${(i + 1) % 5000}`]] as const));
    expect(() => recipeOrder(ring)).toThrow(
      expect.objectContaining({
        code: 'recipe-cycle',
        message: expect.stringMatching(/^A recipe would contain itself: r0 > r1 > .* > \.\.\. > r0\.$/) as unknown,
      }),
    );
  });
});
