import { describe, expect, it } from '@jest/globals';
import { rational } from '@frostmoot/calc';
import { fairnessOver } from './fairness.ts';

const names = new Map([
  ['b', 'Birch'],
  ['a', 'Alder'],
  ['c', 'Cedar'],
]);
const round = (roundNumber: number, after: Record<string, string>) => ({
  roundNumber,
  after: Object.entries(after).map(([householdId, owed]) => ({ householdId, owed })),
});

describe('fairness over the rounds', () => {
  const rounds = [round(2, { a: '-1/5', b: '11/5' }), round(1, { a: '1/2', b: '-1/2' }), round(3, { a: '0' })];

  it('puts the last rounds in order and leaves out who was in none of them', () => {
    const { rounds: numbers, rows } = fairnessOver(rounds, names, 2);
    expect(numbers).toEqual([2, 3]);
    expect(rows.map(({ name }) => name)).toEqual(['Alder', 'Birch']);
    expect(rows[1]?.after.map((owed) => owed && rational.format(owed))).toEqual(['11/5', undefined]);
  });

  it('finds the furthest either way and fills half a bar with whole portions', () => {
    const { furthest, half } = fairnessOver(rounds, names, 5);
    expect(rational.format(furthest)).toBe('11/5');
    expect(half).toBe(3);
  });

  it('keeps half a bar at one portion where everything is even', () => {
    expect(fairnessOver([round(1, { a: '0' })], names, 4)).toMatchObject({ half: 1 });
    expect(fairnessOver([], names, 4).rows).toEqual([]);
  });
});
