import { describe, expect, it } from '@jest/globals';
import { balancesOf } from './balances.ts';
import { lostFromCommon } from './common-loss.ts';

describe('a container lost from the pool', () => {
  it('is in the books to be read and leaves what households are owed as it was', () => {
    const entry = lostFromCommon(4_000_000n, { code: 'R14-B2-3' });
    expect(entry.kind).toBe('loss');
    expect(balancesOf([entry], 'portions')).toEqual(new Map([['common', 0n]]));
    expect(entry.postings.map(({ amount, facts }) => [amount, facts?.['part']])).toEqual([
      [4_000_000n, 'unallotted'],
      [-4_000_000n, 'lost'],
    ]);
  });

  it('refuses nothing as a loss', () => {
    expect(() => lostFromCommon(0n)).toThrow(expect.objectContaining({ code: 'invalid-input' }));
  });
});
