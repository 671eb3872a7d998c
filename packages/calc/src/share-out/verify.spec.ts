import { describe, expect, it } from '@jest/globals';
import type { ShareOutOutput } from './share-out.ts';
import { shareOut } from './share-out.ts';
import { verifyShareOut } from './verify.ts';

const input = {
  seed: 's',
  households: [
    { id: 'a', weight: '3', owed: '1/2', excludes: ['pie'], holds: { l: 1 } },
    { id: 'b', weight: '2', owed: '-1/2', refuses: ['stew'] },
    { id: 'c', weight: '7/2', scores: { pie: 2 } },
  ],
  lots: [
    { id: 'l', dish: 'stew', containers: 9, portions: 4 },
    { id: 'm', dish: 'pie', containers: 7, portions: 3 },
    { id: 'n', dish: 'soup', containers: 5, portions: 2 },
  ],
};
const sound = shareOut(input);

function changed(change: (copy: ShareOutOutput) => void): string[] {
  const copy = structuredClone(sound);
  change(copy);
  return verifyShareOut(input, copy).map(({ code }) => code);
}

const counts = (output: ShareOutOutput, household: string): Record<string, number> =>
  output.containers[household] ?? {};

describe('verifyShareOut', () => {
  it('has nothing against what shareOut gives', () => {
    expect(verifyShareOut(input, sound)).toEqual([]);
  });

  it('refuses every single container moved from one household to another', () => {
    for (const from of ['a', 'b', 'c']) {
      for (const to of ['a', 'b', 'c']) {
        for (const lot of Object.keys(counts(sound, from))) {
          if (from === to) continue;
          const found = changed((copy) => {
            counts(copy, from)[lot] = (counts(copy, from)[lot] ?? 0) - 1;
            counts(copy, to)[lot] = (counts(copy, to)[lot] ?? 0) + 1;
          });
          expect(found).toContain('received-wrong');
          if (to === 'a' && lot === 'm') expect(found).toContain('excluded-food');
        }
      }
    }
  });

  it.each<[string, string, (copy: ShareOutOutput) => void]>([
    ['a container lost', 'lot-does-not-add-up', (copy) => (counts(copy, 'b').n = (counts(copy, 'b').n ?? 0) - 1)],
    [
      'a container left lying',
      'left-unallotted',
      (copy) => {
        counts(copy, 'c').m = (counts(copy, 'c').m ?? 0) - 1;
        copy.unallotted.m = 1;
      },
    ],
    ['a held container taken away', 'held-moved', (copy) => (counts(copy, 'a').l = 0)],
    ['a household that is not there', 'unknown-household', (copy) => (copy.containers.x = {})],
    ['a lot that is not there', 'unknown-lot', (copy) => (counts(copy, 'a').x = 0)],
    ['half a container', 'not-a-count', (copy) => (counts(copy, 'a').l = 1.5)],
    ['an entitlement shifted', 'entitlement-wrong', (copy) => Object.assign(copy.entitlement, { a: '20', b: '20' })],
    ['a target that is no sum', 'target-wrong', (copy) => (copy.target.a = '7')],
    ['an owed amount dropped', 'owed-wrong', (copy) => (copy.owedAfter.c = '0')],
    ['an owed amount missing', 'owed-wrong', (copy) => delete copy.owedAfter.b],
    ['somebody said to be short', 'short-wrong', (copy) => (copy.short.a = '1')],
    ['an objective embellished', 'objective-wrong', (copy) => (copy.objective.refused = -1)],
  ])('refuses %s', (_, code, change) => {
    expect(changed(change)).toContain(code);
  });

  it('refuses a division that keeps every book but is far from the targets', () => {
    const lots = [{ id: 'l', dish: 'stew', containers: 6, portions: 2 }];
    const households = ['a', 'b'].map((id) => ({ id, weight: '1' }));
    const unfair: ShareOutOutput = {
      proof: 'constructive',
      entitlement: { a: '6', b: '6' },
      target: { a: '6', b: '6' },
      received: { a: '10', b: '2' },
      owedAfter: { a: '-4', b: '4' },
      short: {},
      containers: { a: { l: 5 }, b: { l: 1 } },
      unallotted: {},
      objective: { unallotted: 0, squaredDeviation: '32', refused: 0, outsideFairShare: 4, score: 0 },
    };
    const found = verifyShareOut({ seed: 's', households, lots }, unfair);
    expect(found).toEqual([
      { code: 'too-far-from-target', household: 'a' },
      { code: 'too-far-from-target', household: 'b' },
    ]);
  });

  it('refuses a freezer that is too full', () => {
    const lots = [{ id: 'l', dish: 'stew', containers: 2, portions: 2, containerMl: 500 }];
    const given = { seed: 's', lots, households: [{ id: 'a', weight: '1', freezerMl: 600 }] };
    const copy = structuredClone(shareOut(given));
    expect(verifyShareOut(given, copy)).toEqual([]);
    copy.containers.a = { l: 2 };
    expect(verifyShareOut(given, copy)).toContainEqual({ code: 'freezer-too-full', household: 'a' });
  });
});
