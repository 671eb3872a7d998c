import { describe, expect, it } from '@jest/globals';
import { parse } from '../rational.ts';
import { assignContainers, roundShareOutInput } from './round-share-out.ts';
import type { SharedContainer, SharingHousehold } from './round-share-out.ts';

const container = (lotCode: string, number: number, portions: number, recipeId = 'stew'): SharedContainer => ({
  id: `${lotCode}-${number}`,
  lotCode,
  number,
  recipeId,
  portions,
  unfitFor: recipeId === 'pie' ? ['wheat', 'gluten'] : [],
});
const household = (id: string, more: Partial<SharingHousehold> = {}): SharingHousehold => ({
  id,
  weight: '2',
  mustNot: [],
  ratherNot: [],
  owedMicro: 0n,
  ...more,
});

describe('the input of a round’s share-out', () => {
  const containers = [
    container('R1-A1', 2, 4),
    container('R1-A1', 1, 4),
    container('R1-A1', 3, 2),
    container('R1-B1', 1, 4, 'pie'),
  ];

  it('counts equal containers of a batch as one lot, and what is unfit by household', () => {
    const input = roundShareOutInput(
      'round',
      [
        household('b', { mustNot: ['wheat'], owedMicro: 1_500_000n }),
        household('a', { ratherNot: ['gluten'], weight: '7/2', owedMicro: -250_000n }),
        household('gone', { weight: '0' }),
      ],
      containers,
    );
    expect(input).toEqual({
      seed: 'round',
      households: [
        { id: 'a', weight: '7/2', owed: '-1/4', excludes: [], scores: {}, refuses: ['pie'] },
        { id: 'b', weight: '2', owed: '3/2', excludes: ['pie'], scores: {}, refuses: [] },
      ],
      lots: [
        { id: 'R1-A1/2', dish: 'stew', containers: 1, portions: 2 },
        { id: 'R1-A1/4', dish: 'stew', containers: 2, portions: 4 },
        { id: 'R1-B1/4', dish: 'pie', containers: 1, portions: 4 },
      ],
    });
  });

  it('holds what was claimed before, and counts freezers where every volume is known', () => {
    const claimed = containers.map((one) => ({
      ...one,
      millilitres: one.portions * 250 + one.number,
      claimedBy: one.id === 'R1-A1-2' ? 'b' : one.id === 'R1-A1-1' ? 'gone' : null,
    }));
    const households = [household('a', { freeMl: 3000 }), household('b', { freeMl: -5 }), household('c')];
    const input = roundShareOutInput('round', households, claimed, {
      commonMicro: -3_000_000n,
      varietyWindow: parse('1/2'),
    });
    expect(input.households.map(({ id, freezerMl, holds, owed }) => ({ id, freezerMl, holds, owed }))).toEqual([
      { id: 'a', freezerMl: 3000, holds: undefined, owed: '-1' },
      { id: 'b', freezerMl: 0, holds: { 'R1-A1/4': 1 }, owed: '-1' },
      { id: 'c', freezerMl: undefined, holds: undefined, owed: '-1' },
    ]);
    expect(input.lots.map(({ containerMl }) => containerMl)).toEqual([503, 1002, 1001]);
    expect(input.varietyWindow).toBe('1/2');
    const [first, ...others] = claimed;
    const unknown = roundShareOutInput('round', households, [{ ...first!, millilitres: null }, ...others]);
    expect(unknown.households.every(({ freezerMl }) => freezerMl === undefined)).toBe(true);
    // What b claimed is b's although a comes first and its number is the lower; the claim of who is not there holds nothing.
    const shares = { a: { 'R1-A1/4': 1 }, b: { 'R1-A1/4': 1 } };
    expect(assignContainers(shares, claimed)).toEqual({ a: ['R1-A1-1'], b: ['R1-A1-2'] });
  });

  it.each([
    ['nothing', [], [household('a')]],
    ['nobody', containers, [household('a', { weight: '0' })]],
  ])('refuses to share with %s there', (_, things, people) => {
    expect(() => roundShareOutInput('r', people, things)).toThrow(expect.objectContaining({ code: 'round-not-ready' }));
  });

  it('hands out the lowest numbers first and every container once', () => {
    const shares = { b: { 'R1-A1/4': 1 }, a: { 'R1-A1/4': 1, 'R1-A1/2': 1 } };
    expect(assignContainers(shares, containers)).toEqual({ a: ['R1-A1-3', 'R1-A1-1'], b: ['R1-A1-2'] });
  });

  it('refuses to hand out more than there is', () => {
    const shares = { a: { 'R1-A1/4': 2 }, b: { 'R1-A1/4': 1 } };
    expect(() => assignContainers(shares, containers)).toThrow(expect.objectContaining({ code: 'conflict' }));
  });
});
