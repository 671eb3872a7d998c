import { describe, expect, it } from '@jest/globals';
import { household } from './entry.ts';
import { paymentMade, receiptPaid } from './money-entries.ts';
import { payersOfReversible } from './payment-reversal.ts';

describe('taking a payment back', () => {
  const payment = { ...paymentMade(household('a'), household('b'), 500n), id: 'e1' };

  it('is for the two households between which it went', () => {
    expect(payersOfReversible(payment)).toEqual(['a', 'b']);
  });

  it('is refused for anything else, and the second time', () => {
    const receipt = { ...receiptPaid(household('a'), 500n), id: 'e2' };
    expect(() => payersOfReversible(receipt)).toThrow(expect.objectContaining({ code: 'conflict' }));
    expect(() => payersOfReversible({ ...payment, reversedBy: 'e3' })).toThrow(
      expect.objectContaining({ code: 'already-confirmed' }),
    );
  });
});
