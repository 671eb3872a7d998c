import { describe, expect, it } from '@jest/globals';
import { alike, bySoonest, movesOfRound, mySide } from './my-side.ts';
import type { Container, Swap } from './swap-query.ts';

const container = (id: string, more: Partial<Container> = {}) =>
  ({ id, recipeId: 'stew', dish: 'Stew', portions: 2, bestBefore: '2027-02-28', roundNumber: 4, ...more }) as Container;
const swap = (more: Partial<Swap> = {}) =>
  ({
    id: 's1',
    from: { id: 'a', name: 'Alder' },
    to: { id: 'b', name: 'Birch' },
    gives: [container('x')],
    gets: [container('y', { dish: 'Pie', recipeId: 'pie', portions: 3 })],
    portionsGiven: 2,
    portionsGot: 3,
    openUntil: '2026-12-04T20:00:00.000Z',
    ...more,
  }) as Swap;

describe('a swap as one household sees it', () => {
  it('is turned round for the household that was asked', () => {
    expect(mySide(swap(), 'a')).toMatchObject({ other: { name: 'Birch' }, portionsGiven: 2, portionsGot: 3 });
    const asked = mySide(swap(), 'b');
    expect(asked).toMatchObject({ other: { name: 'Alder' }, portionsGiven: 3, portionsGot: 2 });
    expect(asked.give.map(({ dish }) => dish)).toEqual(['Pie']);
  });

  it('names equal containers together and others apart', () => {
    const groups = alike([container('x'), container('y'), container('z', { portions: 4 })]);
    expect(groups.map(({ portions, containers }) => [portions, containers.length])).toEqual([
      [2, 2],
      [4, 1],
    ]);
  });

  it('puts the soonest answer first', () => {
    const later = swap({ id: 's2', openUntil: '2026-12-06T20:00:00.000Z' });
    expect(bySoonest([later, swap()]).map(({ id }) => id)).toEqual(['s1', 's2']);
  });

  it('belongs to the rounds of its containers', () => {
    expect([4, 5].map((round) => movesOfRound(round)(swap()))).toEqual([true, false]);
  });
});
