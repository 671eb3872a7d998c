import { describe, expect, it } from '@jest/globals';
import { moneyReason } from './money-reason.ts';

const line = (amount: string, roundNumber: number | null) => ({ amount, roundNumber });

describe('the reason of a balance', () => {
  it('is the last round where that alone points the same way', () => {
    expect(moneyReason(5163n, [line('-840', 13), line('840', null), line('6980', 14), line('-1817', 14)])).toEqual({
      kind: 'moneyAheadRound',
      round: 14,
    });
    expect(moneyReason(-300n, [line('-300', 2)])).toEqual({ kind: 'moneyBehindRound', round: 2 });
  });

  it('is all rounds so far where the last one points the other way', () => {
    expect(moneyReason(-100n, [line('-400', 1), line('300', 2)])).toEqual({ kind: 'moneyBehind' });
    expect(moneyReason(100n, [line('400', null)])).toEqual({ kind: 'moneyAhead' });
  });

  it('is that nothing is open at nil', () => {
    expect(moneyReason(0n, [line('-300', 2), line('300', null)])).toEqual({ kind: 'moneyNil' });
  });
});
