import { describe, expect, it } from '@jest/globals';
import { swapOpenUntil } from './open-until.ts';
import { answererOf, refusalError, stateNow, whyNotSwappable, type OpenSwap } from './swap-answer.ts';

const day = 86_400_000;
const now = Date.UTC(2026, 11, 1, 12);

describe('how long a swap waits', () => {
  it.each([
    ['three days when nothing ends before', [], now + 3 * day],
    ['until the swap days of a round end', [now + day], now + day],
    ['until the first of two rounds', [now + 2 * day, now + day], now + day],
    ['three days when the swap days are over', [now - day, now], now + 3 * day],
    ['three days when the round has longer', [now + 9 * day], now + 3 * day],
  ])('%s', (_, ends, expected) => {
    expect(swapOpenUntil(now, ends)).toBe(expected);
  });
});

describe('the answer to a swap', () => {
  const swap: OpenSwap = { state: 'proposed', openUntil: now, from: 'a', to: 'b' };

  it('is the other household’s, and only the withdrawal the proposer’s', () => {
    expect(answererOf(swap, 'accept')).toBe('b');
    expect(answererOf(swap, 'decline')).toBe('b');
    expect(answererOf(swap, 'withdraw')).toBe('a');
  });

  it('comes too late from the very moment on that it was open until', () => {
    expect(stateNow(swap, now - 1)).toBe('proposed');
    expect(stateNow(swap, now)).toBe('lapsed');
    expect(stateNow({ ...swap, state: 'declined' }, now)).toBe('declined');
  });

  it.each([
    ['eaten', { code: 'R1-A1-1', state: 'eaten', holderId: 'a' }],
    ['given back', { code: 'R1-A1-1', state: 'sealed', holderId: null }],
    ['with another', { code: 'R1-A1-1', state: 'sealed', holderId: 'c' }],
  ] as const)('finds a container that is %s', (_, container) => {
    const fine = { container: { code: 'R1-A1-2', state: 'sealed', holderId: 'b' } as const, giver: 'b' };
    const refusal = whyNotSwappable([fine, { container, giver: 'a' }]);
    expect(refusal?.params).toEqual({ container: 'R1-A1-1', state: container.state });
    expect(refusal && refusalError(refusal)).toMatchObject({ code: 'not-swappable' });
    expect(whyNotSwappable([fine])).toBeNull();
  });
});
