import { describe, expect, it } from '@jest/globals';
import type { SwapMatchOutput } from './swap-match.ts';
import { swapMatch } from './swap-match.ts';
import { verifySwapMatch } from './verify-swap-match.ts';

const date = { bestBefore: '2027-01-01' };
const input = {
  seed: 's',
  offers: [
    { id: 'o1', household: 'a', dish: 'soup', containers: 3, portions: '4', ...date },
    { id: 'o2', household: 'b', dish: 'pie', containers: 2, portions: '4', ...date },
    { id: 'o3', household: 'c', dish: 'stew', containers: 2, portions: '4', ...date },
  ],
  wants: [
    { id: 'w1', household: 'b', dish: 'soup', containers: 2, score: 1 },
    { id: 'w2', household: 'c', dish: 'pie', containers: 2, score: 1 },
    { id: 'w3', household: 'a', dish: 'stew', containers: 1, score: 1 },
    { id: 'w4', household: 'd', dish: 'soup', containers: 1, score: 1 },
    { id: 'w5', household: 'd', dish: 'pie', containers: 1, score: 1 },
    { id: 'w6', household: 'a', dish: 'pie', containers: 1, score: 1 },
  ],
  excludes: { d: ['pie'] },
  creditPortions: '8',
};
const sound = swapMatch(input);

function changed(change: (copy: SwapMatchOutput) => void, given: object = input): string[] {
  const copy = structuredClone(sound);
  change(copy);
  return verifySwapMatch(given, copy).map(({ code }) => code);
}

describe('verifySwapMatch', () => {
  it('has nothing against what swap-match gives', () => {
    expect(sound.proof).toBe('optimal');
    expect(sound.rings).not.toEqual([]);
    expect(verifySwapMatch(input, sound)).toEqual([]);
  });

  it('refuses every move that is dropped, made larger or given to another want', () => {
    sound.moves.forEach((move, i) => {
      expect(changed((copy) => copy.moves.splice(i, 1))).toContain('balance-wrong');
      expect(changed((copy) => Object.assign(copy.moves[i] ?? {}, { containers: move.containers + 1 }))).toContain(
        'balance-wrong',
      );
      for (const { id } of input.wants) {
        if (id === move.want) continue;
        expect(changed((copy) => Object.assign(copy.moves[i] ?? {}, { want: id }))).not.toEqual([]);
      }
    });
  });

  const move = { offer: 'o1', want: 'w1', containers: 1 };
  it.each<[string, string, (copy: SwapMatchOutput) => void]>([
    ['an offer that is not there', 'unknown-offer', (copy) => copy.moves.push({ ...move, offer: 'x' })],
    ['a want that is not there', 'unknown-want', (copy) => copy.moves.push({ ...move, want: 'x' })],
    ['half a container', 'not-a-count', (copy) => copy.moves.push({ ...move, containers: 0.5 })],
    ['a move twice', 'move-twice', (copy) => copy.moves.push(...copy.moves.slice(0, 1))],
    ['another dish than is wanted', 'wrong-dish', (copy) => copy.moves.push({ ...move, want: 'w3' })],
    ['what a household may not eat', 'excluded-food', (copy) => copy.moves.push({ ...move, offer: 'o2', want: 'w5' })],
    ['more than is offered', 'offer-overdrawn', (copy) => copy.moves.push({ ...move, want: 'w4', containers: 3 })],
    ['more than is wanted', 'want-overfilled', (copy) => copy.moves.push({ ...move, containers: 3 })],
    ['a balance embellished', 'balance-wrong', (copy) => (copy.balance.a = '0')],
    ['a household that is not there', 'balance-wrong', (copy) => (copy.balance.x = '0')],
    ['a ring that is none', 'ring-wrong', (copy) => copy.rings.push(['d', 'a'])],
    ['a ring left out', 'ring-missing', (copy) => copy.rings.pop()],
    ['a bound where all is proved', 'bound-wrong', (copy) => (copy.atMost = '100')],
    ['a bound below what moves', 'bound-wrong', (copy) => Object.assign(copy, { proof: 'bounded', atMost: '1' })],
  ])('refuses %s', (_, code, change) => {
    expect(changed(change)).toContain(code);
  });

  it('refuses what goes beyond the credit, what could still move and what a ring limit forbids', () => {
    expect(changed(() => {}, { ...input, creditPortions: '0' })).toContain('over-credit');
    const nothing: SwapMatchOutput = {
      proof: 'optimal',
      moves: [],
      rings: [],
      balance: { a: '0', b: '0', c: '0', d: '0' },
    };
    expect(verifySwapMatch(input, nothing).map(({ code }) => code)).toContain('could-move-more');
    const short = changed(() => {}, { ...input, ringLimit: 2 });
    expect(short).toContain('ring-too-long');
    expect(short).toContain('move-outside-rings');
    const own = {
      ...input,
      offers: [...input.offers, { id: 'o4', household: 'b', dish: 'soup', containers: 1, portions: '4', ...date }],
    };
    expect(changed(() => {}, own)).toContain('own-dish');
  });
});
