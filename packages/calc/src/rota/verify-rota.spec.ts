import { describe, expect, it } from '@jest/globals';
import type { RotaOutput } from './rota.ts';
import { rota } from './rota.ts';
import { verifyRota } from './verify-rota.ts';

const input = {
  weeks: [
    { id: 'w1', team: 2, litres: '12', dishes: ['soup'] },
    { id: 'w2', team: 2, dishes: ['pie'] },
    { id: 'w3', team: 1, dishes: ['pie', 'stew'] },
  ],
  households: [
    { id: 'a', weight: '2', owedTurns: '1/2', away: ['w2'], skills: ['soup', 'pie'], potLitres: '8', minGap: 1 },
    { id: 'b', weight: '1', skills: ['pie'], potLitres: '6', minGap: 1 },
    { id: 'c', weight: '1', skills: ['soup'], potLitres: '4' },
    { id: 'd', weight: '1', away: ['w1', 'w3'], skills: ['pie', 'stew'] },
  ],
  kept: [{ week: 'w2', household: 'd' }],
};
const sound = rota(input);

function changed(change: (copy: RotaOutput) => void): string[] {
  const copy = structuredClone(sound);
  change(copy);
  return verifyRota(input, copy).map(({ code }) => code);
}

describe('verifyRota', () => {
  it('has nothing against what rota gives', () => {
    expect(sound.relax).toEqual([{ kind: 'skill', week: 'w3', dish: 'stew' }]);
    expect(verifyRota(input, sound)).toEqual([]);
  });

  it('refuses every single turn that is moved to another household or dropped', () => {
    sound.turns.forEach((_, i) => {
      expect(changed((copy) => copy.turns.splice(i, 1))).toContain('given-wrong');
      for (const household of ['a', 'b', 'c', 'd']) {
        if (household === sound.turns[i]?.household) continue;
        const found = changed((copy) => Object.assign(copy.turns[i] ?? {}, { household }));
        expect(found.includes('given-wrong') || found.includes('turn-twice')).toBe(true);
      }
    });
  });

  it('refuses loads changed to fit a turn that is moved', () => {
    const plain = {
      weeks: ['1', '2', '3'].map((id) => ({ id, team: 1 })),
      households: ['a', 'b', 'c'].map((id) => ({ id, weight: '1' })),
    };
    const copy = structuredClone(rota(plain));
    const [first, second] = copy.turns;
    const [from, to] = [first?.household ?? '', second?.household ?? ''];
    if (first) first.household = to;
    copy.load[from] = { target: '1', given: 0, owedAfter: '1' };
    copy.load[to] = { target: '1', given: 2, owedAfter: '-1' };
    expect(verifyRota(plain, copy)).toContainEqual({ code: 'could-be-nearer', week: '1', household: from });
    expect(verifyRota(plain, { ...copy, proof: 'bounded', atLeast: '0' })).toEqual([]);
    expect(verifyRota(plain, { ...copy, proof: 'bounded', atLeast: '9' })).toEqual([{ code: 'bound-wrong' }]);
  });

  it.each<[string, string, (copy: RotaOutput) => void]>([
    ['a turn of nobody', 'unknown-household', (copy) => copy.turns.push({ week: 'w1', household: 'x' })],
    ['a turn in no week', 'unknown-week', (copy) => copy.turns.push({ week: 'w9', household: 'a' })],
    ['a turn twice', 'turn-twice', (copy) => copy.turns.push(...copy.turns.slice(0, 1))],
    ['a limit given up in silence', 'limit-broken', (copy) => delete copy.relax],
    [
      'a limit said to be given up that is kept',
      'limit-kept',
      (copy) => copy.relax?.push({ kind: 'pots', week: 'w1' }),
    ],
    ['a repair without a reason', 'conflict-missing', (copy) => delete copy.conflict],
    ['a conflict without its heart', 'conflict-possible', (copy) => copy.conflict?.pop()],
    [
      'a conflict with too much in it',
      'conflict-reducible',
      (copy) => copy.conflict?.push({ kind: 'pots', week: 'w1' }),
    ],
    [
      'a conflict of limits that nobody set',
      'conflict-unknown',
      (copy) => copy.conflict?.push({ kind: 'pots', week: 'w2' }),
    ],
    ['a target embellished', 'target-wrong', (copy) => Object.assign(copy.load.a ?? {}, { target: '3' })],
    ['an owed turn forgotten', 'owed-wrong', (copy) => Object.assign(copy.load.a ?? {}, { owedAfter: '0' })],
    ['a household left out', 'target-wrong', (copy) => delete copy.load.b],
    [
      'a household that is not there',
      'unknown-household',
      (copy) => (copy.load.x = { target: '0', given: 0, owedAfter: '0' }),
    ],
  ])('refuses %s', (_, code, change) => {
    expect(changed(change)).toContain(code);
  });
});
