import {
  buyPlan,
  clearBalances,
  costSplit,
  swapMatch,
  verifyBuyPlan,
  verifyClearBalances,
  verifyCostSplit,
  verifySwapMatch,
} from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';

const codes = (violations: readonly { code: string }[]): string[] => violations.map(({ code }) => code);

/** Results that are worse by one thing and in which every figure has been made to fit; forged share-outs and rotas stand beside those. */
describe('a forged result whose figures all fit', () => {
  const line = (id: string, amount: string) => ({ id, amount, shares: { a: '1', b: '1', c: '1' } });

  it('is refused for one cent of a line that goes to somebody else', () => {
    const input = { lines: [line('l', '100'), line('m', '100')], carried: {} };
    const copy = costSplit(input);
    const [rich = '', poor = ''] = Object.entries(copy.carriedAfter)
      .sort(([, x], [, y]) => (x < y ? 1 : -1))
      .map(([id]) => id);
    expect(verifyCostSplit(input, copy)).toEqual([]);
    // Of the second line, a cent more for who has paid too much already.
    const [most = '', least = ''] = ['a', 'b', 'c'].sort((x, y) =>
      copy.amounts.l?.[x] === '34' ? -1 : copy.amounts.l?.[y] === '34' ? 1 : 0,
    );
    expect(rich).not.toBe(poor);
    const amounts = { ...copy.amounts.m };
    const [before, other] = [BigInt(amounts[most] ?? 0), BigInt(amounts[least] ?? 0)];
    const forged = {
      ...copy,
      amounts: { ...copy.amounts, m: { ...amounts, [most]: `${before + 1n}`, [least]: `${other - 1n}` } },
      totals: {
        ...copy.totals,
        [most]: `${BigInt(copy.totals[most] ?? 0) + 1n}`,
        [least]: `${BigInt(copy.totals[least] ?? 0) - 1n}`,
      },
      carriedAfter: {
        ...copy.carriedAfter,
        [most]: shifted(copy.carriedAfter[most], -1n),
        [least]: shifted(copy.carriedAfter[least], 1n),
      },
    };
    expect(codes(verifyCostSplit(input, forged))).toContain('could-be-nearer');
  });

  it('is refused for a payment more than there need be', () => {
    const input = { balances: { a: '300', b: '-300', c: '500', d: '-500' } };
    expect(verifyClearBalances(input, clearBalances(input))).toEqual([]);
    const payments = [
      { from: 'b', to: 'a', amount: '100' },
      { from: 'b', to: 'c', amount: '200' },
      { from: 'd', to: 'a', amount: '200' },
      { from: 'd', to: 'c', amount: '300' },
    ];
    expect(codes(verifyClearBalances(input, { proof: 'optimal', payments }))).toEqual(['could-be-fewer']);
    const three = [
      { from: 'b', to: 'c', amount: '300' },
      { from: 'd', to: 'a', amount: '300' },
      { from: 'd', to: 'c', amount: '200' },
    ];
    expect(codes(verifyClearBalances(input, { proof: 'optimal', payments: three }))).toEqual(['could-be-fewer']);
  });

  it('is refused for a pack too many, or one that costs more than another', () => {
    const offer = (id: string, seller: string, pack: string, price: string) => ({
      ...{ id, seller, ingredient: 'oats', pack, unit: 'g', price },
    });
    const input = {
      currency: 'EUR',
      needs: [{ ingredient: 'oats', quantity: '900', unit: 'g' }],
      sellers: [
        { id: 's', fee: '0' },
        { id: 't', fee: '0' },
      ],
      offers: [offer('small', 's', '500', '100'), offer('large', 't', '1000', '190')],
    };
    const sound = buyPlan(input);
    expect(sound.packs).toEqual({ large: 1 });
    expect(verifyBuyPlan(input, sound)).toEqual([]);
    const dear = (packs: Record<string, number>, sellers: typeof sound.sellers, total: string, surplus: string) =>
      codes(verifyBuyPlan(input, { proof: 'optimal', packs, sellers, total, surplus: { oats: surplus } }));
    expect(dear({ large: 2 }, { t: { goods: '380', fee: '0' } }, '380', '1100')).toEqual(['could-be-cheaper']);
    const both = { s: { goods: '100', fee: '0' }, t: { goods: '190', fee: '0' } };
    expect(dear({ large: 1, small: 1 }, both, '290', '600')).toEqual(['could-be-cheaper']);
  });

  it('is refused for a whole ring of swaps left out, with and without a limit of rings, and for a line within the credit', () => {
    const households = ['a', 'b', 'c'];
    const offers = households.map((household) => ({
      ...{ id: `o-${household}`, household, dish: `dish of ${household}`, containers: 1, portions: '3' },
      bestBefore: '2027-01-10',
    }));
    const wants = households.map((household, i) => ({
      ...{ id: `w-${household}`, household, dish: `dish of ${households[(i + 1) % 3]}`, containers: 1 },
    }));
    const nothing = { proof: 'optimal' as const, moves: [], rings: [], balance: { a: '0', b: '0', c: '0' } };
    const withRing = (more: Record<string, unknown>) => ({ seed: 's', offers, wants, creditPortions: '0', ...more });
    for (const given of [withRing({}), withRing({ ringLimit: 3 })]) {
      const found = swapMatch(given);
      expect(found.moves).toHaveLength(3);
      expect(verifySwapMatch(given, found)).toEqual([]);
      expect(codes(verifySwapMatch(given, nothing))).toEqual(['could-move-more']);
    }
    const pairs = { ...withRing({ ringLimit: 2 }) };
    expect(verifySwapMatch(pairs, nothing)).toEqual([]);
    // From a by b to c: b gives what it gets, and only a and c need the credit.
    const line = { ...withRing({ creditPortions: '3', wants: wants.slice(0, 2) }) };
    expect(codes(verifySwapMatch(line, nothing))).toEqual(['could-move-more']);
  });
});

function shifted(text: string | undefined, by: bigint): string {
  const [n = '0', d = '1'] = (text ?? '0').split('/');
  const moved = BigInt(n) + by * BigInt(d);
  return moved === 0n || d === '1' ? `${moved}` : `${moved}/${d}`;
}
