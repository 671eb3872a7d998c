import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { clearBalances } from './clear-balances.ts';

describe('clearBalances', () => {
  it('has nothing to pay when nothing is owed', () => {
    expect(clearBalances({ balances: { a: '0', b: '0' } })).toEqual({ proof: 'optimal', payments: [] });
    expect(clearBalances({ balances: {} })).toEqual({ proof: 'optimal', payments: [] });
  });

  it('lets debtors pay creditors, exact opposites directly', () => {
    expect(clearBalances({ balances: { a: '500', b: '-300', c: '-500', d: '300' } }).payments).toEqual([
      { from: 'b', to: 'd', amount: '300' },
      { from: 'c', to: 'a', amount: '500' },
    ]);
  });

  it('finds the groups that greatest-first would miss', () => {
    // 6 + 4 = 10 and 7 + 2 = 9: three payments fewer than six people; greatest first needs five.
    const balances = { a: '-1000', b: '-900', c: '700', d: '600', e: '400', f: '200' };
    const { proof, payments } = clearBalances({ balances });
    expect(proof).toBe('optimal');
    expect(payments).toHaveLength(4);
  });

  it('settles in whole units and carries the cents', () => {
    const balances = { a: '1012', b: '-998', c: '-14' };
    expect(clearBalances({ balances }).payments).toHaveLength(2);
    expect(clearBalances({ balances, wholeUnits: true })).toEqual({
      proof: 'optimal',
      payments: [{ from: 'b', to: 'a', amount: '1000' }],
      carried: { a: '12', b: '2', c: '-14' },
    });
  });

  it('takes the size of a whole unit from the currency', () => {
    const balances = { a: '1500', b: '-1500' };
    expect(clearBalances({ balances, wholeUnits: true, currency: 'KWD' }).payments[0]?.amount).toMatch(/^[12]000$/);
    expect(clearBalances({ balances, wholeUnits: true, currency: 'JPY' })).toEqual({
      proof: 'optimal',
      payments: [{ from: 'b', to: 'a', amount: '1500' }],
      carried: { a: '0', b: '0' },
    });
  });

  it('says bounded above 22 balances, with the least number that could do', () => {
    // Powers of three have no subset that sums to nil but the whole.
    const amounts = Array.from({ length: 24 }, (_, i) => 3n ** BigInt(i));
    const sum = amounts.reduce((a, b) => a + b);
    const balances = Object.fromEntries([...amounts, -sum].map((amount, i) => [`h${i}`, `${amount}`]));
    const { proof, payments, atLeast } = clearBalances({ balances });
    expect(proof).toBe('bounded');
    expect(payments).toHaveLength(24);
    expect(atLeast).toBe(17);
  });

  it('says optimal above 22 balances when groups of three prove it', () => {
    const balances = Object.fromEntries(
      Array.from({ length: 10 }, (_, i) => 10 ** 4 + i * 101).flatMap((amount, i) => [
        [`a${i}`, `${3 * amount}`],
        [`b${i}`, `${-amount}`],
        [`c${i}`, `${-2 * amount}`],
      ]),
    );
    expect(clearBalances({ balances })).toMatchObject({ proof: 'optimal', payments: { length: 20 } });
  });

  it('does not lose a unit of amounts beyond what a double holds', () => {
    const balances = { a: '900719925474099301', b: '-900719925474099300', c: '-1' };
    expect(clearBalances({ balances }).payments).toEqual([
      { from: 'b', to: 'a', amount: '900719925474099300' },
      { from: 'c', to: 'a', amount: '1' },
    ]);
  });

  it.each([
    ['balances that do not sum to nil', { balances: { a: '1' } }, '#/balances'],
    ['a balance with a point', { balances: { a: '1.5', b: '-1.5' } }, '#/balances/a'],
    ['a currency that is none', { balances: {}, currency: 'ABC', wholeUnits: true }, '#/currency'],
    ['no balances', {}, '#/balances'],
  ])('refuses %s', (_, input, pointer) => {
    try {
      clearBalances(input);
    } catch (error) {
      expect(error).toBeInstanceOf(DomainError);
      expect((error as DomainError).errors[0]?.pointer).toBe(pointer);
      return;
    }
    throw new Error('It was accepted.');
  });
});
