import { describe, expect, it } from '@jest/globals';
import { borneByHeadcount, commonBorne } from './common-part.ts';

const three = [
  { id: 'a', weight: '1' },
  { id: 'b', weight: '1' },
  { id: 'c', weight: '2' },
];

describe('what lies with the common account when a round is shared out', () => {
  it('is borne by headcount, to the last micro-portion', () => {
    expect(Object.fromEntries(borneByHeadcount('round', three, -4_000_000n))).toEqual({
      a: -1_000_000n,
      b: -1_000_000n,
      c: -2_000_000n,
    });
    const uneven = [...borneByHeadcount('round', three, 10n).values()];
    expect(uneven.reduce((x, y) => x + y)).toBe(10n);
    expect(uneven.every((part) => part >= 2n && part <= 5n)).toBe(true);
  });

  it('is nothing where nothing lies there, and nobody of weight nil bears it', () => {
    expect(borneByHeadcount('round', three, 0n).size).toBe(0);
    expect(borneByHeadcount('round', [{ id: 'a', weight: '0' }], 5n).size).toBe(0);
    expect(commonBorne(new Map(), {})).toBeUndefined();
  });

  it('brings the common account to nil in one entry', () => {
    const entry = commonBorne(borneByHeadcount('round', three, -4_000_000n), { round: 3 });
    expect(entry?.kind).toBe('adjustment');
    expect(entry?.postings.find(({ account }) => account.kind === 'common')?.amount).toBe(4_000_000n);
    expect(entry?.postings.map(({ amount }) => amount).reduce((x, y) => x + y)).toBe(0n);
  });
});
