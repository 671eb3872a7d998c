import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { DomainError } from '../domain-error.ts';
import { findUnit } from '../quantity/units.ts';
import type { Unit } from '../quantity/units.ts';
import { add, cmp, eq, format, mul, parse, rational, sign } from '../rational.ts';
import { ownDensity } from '../recipes/recipe-version.ts';
import { cheapestOffer } from './cheapest-offer.ts';
import type { SplitLine } from './corrections.ts';
import { checkAdjustment, refundOf } from './corrections.ts';
import { endsAround, offersInForce } from './offers-in-force.ts';
import { feesOf, planPurchases } from './round-plan.ts';

const unit = (name: string): Unit => findUnit(name, 'metric') as Unit;
const pack = (id: string, packQuantity: string, packUnit: string, priceMinor: bigint) => ({
  id,
  packQuantity: parse(packQuantity),
  packUnit: unit(packUnit),
  priceMinor,
});

describe('the cheapest offer', () => {
  it('counts whole packs, so that the least price by weight need not win', () => {
    const offers = [pack('crate', '10', 'kg', 1390n), pack('bag', '2.5', 'kg', 379n)];
    // 17 kg: 7 bags are 2653, two crates 2780. 20 kg: 8 bags are 3032, two crates 2780.
    expect(cheapestOffer(parse('17000'), unit('g'), offers)).toMatchObject({
      offer: { id: 'bag' },
      packs: 7n,
      costMinor: 2653n,
    });
    const twenty = cheapestOffer(parse('20000'), unit('g'), offers);
    expect([twenty?.offer.id, twenty?.packs, format(twenty?.surplus ?? parse('1'))]).toEqual(['crate', 2n, '0']);
  });

  it('takes the lesser id where costs are equal, in whatever order they come', () => {
    const offers = [pack('b', '1', 'kg', 100n), pack('a', '500', 'g', 50n)];
    expect(cheapestOffer(parse('1000'), unit('g'), offers)?.offer.id).toBe('a');
    expect(cheapestOffer(parse('1000'), unit('g'), [...offers].reverse())?.offer.id).toBe('a');
  });

  it('reads a pack given by weight for a need by volume with the density', () => {
    const offers = [pack('a', '900', 'g', 500n)];
    const density = ownDensity('oil', '0.9', 'weighed');
    const found = cheapestOffer(parse('1001'), unit('mL'), offers, density);
    expect([found?.packs, format(found?.surplus ?? parse('0'))]).toEqual([2n, '999']);
    expect(() => cheapestOffer(parse('1'), unit('mL'), offers)).toThrow(
      expect.objectContaining({ code: 'density-missing' }),
    );
  });

  it('is none where there is no offer', () => {
    expect(cheapestOffer(parse('1'), unit('g'), [])).toBeUndefined();
    expect(cheapestOffer(parse('1'), unit('g'), [pack('empty', '0', 'g', 1n)])).toBeUndefined();
  });

  it('passes over packs of which nobody could carry or pay enough', () => {
    const offers = [pack('crumb', '0.001', 'g', 0n), pack('bag', '2.5', 'kg', 379n)];
    expect(cheapestOffer(parse('100'), unit('g'), offers)).toMatchObject({ offer: { id: 'crumb' }, packs: 100_000n });
    expect(cheapestOffer(parse('101'), unit('g'), offers)).toMatchObject({ offer: { id: 'bag' }, packs: 1n });
    const gold = [pack('gold', '1', 'g', 10n ** 12n)];
    expect(cheapestOffer(parse('1'), unit('g'), gold)?.costMinor).toBe(10n ** 12n);
    expect(cheapestOffer(parse('1.5'), unit('g'), gold)).toBeUndefined();
  });

  it('always covers the need, with less than one pack too much, and never at more than any other offer', () => {
    const offer = fc.record({ quantity: fc.integer({ min: 1, max: 5000 }), price: fc.bigInt({ min: 0n, max: 5000n }) });
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 100_000 }),
        fc.array(offer, { minLength: 1, maxLength: 6 }),
        (needed, given) => {
          const offers = given.map(({ quantity, price }, index) => pack(`${index}`, `${quantity}`, 'g', price));
          const need = rational(BigInt(needed));
          const best = cheapestOffer(need, unit('g'), offers);
          if (!best) throw new Error('no offer');
          const bought = mul(rational(best.packs), best.offer.packQuantity);
          expect(eq(bought, add(need, best.surplus))).toBe(true);
          expect(sign(best.surplus)).toBeGreaterThanOrEqual(0);
          expect(cmp(best.surplus, best.offer.packQuantity)).toBe(-1);
          for (const { quantity, price } of given) {
            expect(best.costMinor <= BigInt(Math.ceil(needed / quantity)) * price).toBe(true);
          }
        },
      ),
    );
  });
});

const dated = (id: string, validFrom: string, validTo: string | null = null, more: object = {}) => ({
  id,
  sellerId: 'mill',
  ingredientId: 'flour',
  packQuantity: '2',
  packUnit: 'kg',
  validFrom,
  validTo,
  priceMinor: 100n,
  ...more,
});

describe('offers of a day', () => {
  const ids = (on: string, ...offers: ReturnType<typeof dated>[]): string[] =>
    offersInForce(offers, on).map(({ id }) => id);

  it('begin on their first day and end after their last', () => {
    const offer = dated('a', '2026-11-10', '2026-11-20');
    expect(['2026-11-09', '2026-11-10', '2026-11-20', '2026-11-21'].map((on) => ids(on, offer).length)).toEqual([
      0, 1, 1, 0,
    ]);
  });

  it('are the latest price of the same pack, and of one day the one written last', () => {
    expect(ids('2026-11-20', dated('a', '2026-11-10'), dated('b', '2026-11-01'))).toEqual(['a']);
    expect(ids('2026-11-20', dated('2', '2026-11-10'), dated('1', '2026-11-10'))).toEqual(['2']);
    expect(ids('2026-11-20', dated('a', '2026-11-10'), dated('b', '2026-11-10', null, { packQuantity: '5' }))).toEqual([
      'a',
      'b',
    ]);
  });

  it('end where another begins, a later one that is known already included', () => {
    const known = [dated('a', '2026-11-01'), dated('b', '2026-12-10'), dated('c', '2026-10-01', '2026-10-31')];
    expect(endsAround(known, '2026-12-01')).toEqual({ end: ['a'], lastDay: '2026-11-30', validTo: '2026-12-09' });
    expect(endsAround(known, '2026-12-20')).toEqual({ end: ['a', 'b'], lastDay: '2026-12-19', validTo: null });
    expect(endsAround([], '2026-03-01')).toEqual({ end: [], lastDay: '2026-02-28', validTo: null });
  });
});

describe('the plan of a round', () => {
  const ingredients = new Map([
    ['flour', { id: 'flour', baseUnit: 'g' }],
    ['milk', { id: 'milk', baseUnit: 'mL' }],
    ['saffron', { id: 'saffron', baseUnit: 'g' }],
  ]);

  it('has a line for every ingredient that somebody offers, and names the others', () => {
    const offers = [
      dated('f', '2026-11-01'),
      dated('m', '2026-11-01', null, { ingredientId: 'milk', packUnit: 'L', sellerId: 'farm' }),
    ];
    const needs = new Map([
      ['saffron', parse('1')],
      ['milk', parse('2001')],
      ['flour', parse('1500')],
    ]);
    const { lines, withoutOffer } = planPurchases(needs, ingredients, offers, '2026-11-05', 'metric');
    expect(
      lines.map(({ offer, packs, plannedMinor, surplus }) => [offer.id, packs, plannedMinor, format(surplus)]),
    ).toEqual([
      ['f', 1n, 100n, '500'],
      ['m', 2n, 200n, '1999'],
    ]);
    expect(withoutOffer).toEqual(['saffron']);
    expect([
      ...feesOf(
        lines,
        new Map([
          ['mill', 250n],
          ['other', 9n],
        ]),
      ),
    ]).toEqual([
      ['farm', 0n],
      ['mill', 250n],
    ]);
  });

  it('refuses a pack in a unit that is none', () => {
    const offers = [dated('f', '2026-11-01', null, { packUnit: 'bucketful' })];
    expect(() => planPurchases(new Map([['flour', parse('1')]]), ingredients, offers, '2026-11-05', 'metric')).toThrow(
      expect.objectContaining({ code: 'unknown-unit' }),
    );
  });
});

describe('corrections of a line', () => {
  const line = (amounts: [string, bigint][], kind: SplitLine['kind'] = 'goods'): SplitLine => ({
    kind,
    amountMinor: amounts.reduce((total, [, amount]) => total + amount, 0n),
    amounts: new Map(amounts),
  });
  const bought = line([
    ['a', 34n],
    ['b', 33n],
    ['c', 33n],
  ]);
  const heavier = line(
    [
      ['a', 1n],
      ['b', 1n],
    ],
    'adjustment',
  );
  const refusal = (work: () => unknown): [string, string | undefined] => {
    try {
      work();
    } catch (error) {
      return [(error as DomainError).code, (error as DomainError).errors[0]?.pointer];
    }
    throw new Error('not refused');
  };

  it('give back what each paid, adjustments included', () => {
    expect(refundOf(bought, [heavier])).toEqual({
      amountMinor: -102n,
      amounts: new Map([
        ['a', -35n],
        ['b', -34n],
        ['c', -33n],
      ]),
    });
  });

  it('are refused twice, of a correction, or for more than the line costs', () => {
    const back = line(
      [
        ['a', -34n],
        ['b', -33n],
        ['c', -33n],
      ],
      'refund',
    );
    expect(refusal(() => refundOf(bought, [back]))).toEqual(['conflict', undefined]);
    expect(refusal(() => refundOf(heavier, []))).toEqual(['invalid-input', '#/lineId']);
    expect(refusal(() => checkAdjustment(bought, [back], 1n))).toEqual(['conflict', undefined]);
    expect(refusal(() => checkAdjustment(bought, [], 0n))).toEqual(['invalid-input', '#/differenceMinor']);
    expect(refusal(() => checkAdjustment(bought, [heavier], -103n))).toEqual(['invalid-input', '#/differenceMinor']);
    expect(() => checkAdjustment(bought, [heavier], -102n)).not.toThrow();
  });
});
