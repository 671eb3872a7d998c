import { describe, expect, it } from '@jest/globals';
import { poolGroups } from './pool-groups.ts';
import type { Container, ShareOut } from './share-out-query.ts';

const box = (id: string, dish: string, portions: number, roundNumber = 3): Container =>
  ({ id, code: id, dish, recipeId: dish, roundId: `round ${roundNumber}`, roundNumber, portions }) as Container;
const claimed = (containerId: string, name: string) => ({ containerId, household: { id: name, name }, at: '' });
const kept = (id: string, name: string) =>
  ({
    id: `for ${name}`,
    household: { id: name, name },
    recipe: { id: 'Stew' },
    state: 'kept',
    container: { id },
  }) as unknown as ShareOut['waiting'][0];
const seen = (pool: Container[], earlyClaims: ShareOut['earlyClaims'] = [], waiting: ShareOut['waiting'] = []) =>
  poolGroups({ pool, earlyClaims, waiting }, 'us').map(({ one, all, free, mine, others }) => [
    `${one.dish} ${one.portions} of ${one.roundNumber}`,
    all,
    free.map(({ id }) => id),
    mine.map(({ id }) => id),
    others.map(({ household, n }) => `${household} ${n}`),
  ]);

describe('the pool by dish and size', () => {
  it('keeps rounds, dishes and sizes apart', () => {
    const pool = [
      box('a', 'Stew', 2),
      box('b', 'Stew', 4),
      box('c', 'Pie', 4),
      box('d', 'Stew', 4, 2),
      box('e', 'Stew', 4),
    ];
    expect(seen(pool)).toEqual([
      ['Pie 4 of 3', 1, ['c'], [], []],
      ['Stew 4 of 3', 2, ['b', 'e'], [], []],
      ['Stew 2 of 3', 1, ['a'], [], []],
      ['Stew 4 of 2', 1, ['d'], [], []],
    ]);
  });
  it('counts what is claimed by us and by others, and leaves what is kept to whom it is kept for', () => {
    const pool = ['a', 'b', 'c', 'd', 'e', 'f'].map((id) => box(id, 'Stew', 4));
    const claims = [claimed('a', 'us'), claimed('b', 'Oduya'), claimed('c', 'Oduya')];
    expect(seen(pool, claims, [kept('e', 'Tallow'), kept('f', 'us')])).toEqual([
      ['Stew 4 of 3', 6, ['f', 'd'], ['a'], ['Oduya 2']],
    ]);
  });
});
