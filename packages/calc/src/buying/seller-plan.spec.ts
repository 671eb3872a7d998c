import { describe, expect, it } from '@jest/globals';
import { format, parse } from '../rational.ts';
import type { LimitedOffer, SellerTerms } from './seller-plan.ts';
import { dueFees, nextBest, planOverSellers } from './seller-plan.ts';

// Our own figures, those of the worked case shared/golden/buy-plan/one-tin-more.json: one tin more than is needed makes the delivery free.
const offer = (
  id: string,
  sellerId: string,
  ingredientId: string,
  packQuantity: string,
  priceMinor: bigint,
  more: object = {},
): LimitedOffer => ({
  ...{ id, sellerId, ingredientId, packQuantity, priceMinor, packUnit: 'kg', validFrom: '2026-11-01', validTo: null },
  ...{ minPacks: null, maxPacks: null },
  ...more,
});
const terms = (id: string, feeMinor: bigint, freeFromMinor: bigint | null = null, minimumMinor = 0n): SellerTerms => ({
  ...{ id, feeMinor, freeFromMinor, minimumMinor },
});
const given = {
  needs: new Map([
    ['mince', parse('3000')],
    ['tomatoes', parse('2400')],
  ]),
  ingredients: new Map(['mince', 'tomatoes', 'saffron'].map((id) => [id, { id, baseUnit: 'g' }])),
  offers: [
    offer('butcher-mince-1kg', 'butcher', 'mince', '1', 950n),
    offer('butcher-mince-2500g', 'butcher', 'mince', '5/2', 2200n),
    offer('butcher-tomatoes', 'butcher', 'tomatoes', '1', 350n),
    offer('market-mince', 'market', 'mince', '1', 900n),
    offer('market-tin', 'market', 'tomatoes', '2/5', 120n),
  ],
  terms: [terms('butcher', 0n), terms('market', 300n, 3500n), terms('corner', 0n)],
  on: '2026-11-26',
  measures: 'metric' as const,
};
const shown = ({ lines }: ReturnType<typeof planOverSellers>) =>
  lines.map((line) => [line.offer.id, line.packs, format(line.needed), format(line.surplus)]);

describe('the plan over all sellers', () => {
  it('reaches a threshold where that is cheaper, and says what the next best costs', () => {
    const plan = planOverSellers(given);
    expect(shown(plan)).toEqual([
      ['market-mince', 3n, '3000', '0'],
      ['market-tin', 7n, '2400', '400'],
    ]);
    expect([plan.totalMinor, plan.proof, [...plan.fees]]).toEqual([3540n, 'optimal', [['market', 0n]]]);
    // Everything from the butcher: 2200 + 950 for mince, or 3 x 950 = 2850; 3 x 350 for tomatoes.
    expect(nextBest(given, plan)).toEqual({
      next: { without: 'market', sellers: ['butcher'], totalMinor: 3900n },
      only: new Map(),
    });
  });

  it('divides what is needed among several packs of an ingredient, so that each line has its own part', () => {
    const needs = new Map([['mince', parse('3200')]]);
    const offers = [offer('large', 'butcher', 'mince', '5/2', 2200n), offer('small', 'butcher', 'mince', '1', 950n)];
    const plan = planOverSellers({ ...given, needs, offers });
    expect(shown(plan)).toEqual([
      ['large', 1n, '2500', '0'],
      ['small', 1n, '700', '300'],
    ]);
  });

  it('keeps to the fewest and the most packs of an offer', () => {
    const needs = new Map([['mince', parse('3000')]]);
    const few = [
      offer('cheap', 'butcher', 'mince', '1', 500n, { maxPacks: 2 }),
      offer('dear', 'corner', 'mince', '1', 950n),
    ];
    expect(shown(planOverSellers({ ...given, needs, offers: few })).map(([id, packs]) => [id, packs])).toEqual([
      ['cheap', 2n],
      ['dear', 1n],
    ]);
    const many = [
      offer('cheap', 'butcher', 'mince', '1', 500n, { minPacks: 6 }),
      offer('dear', 'corner', 'mince', '1', 950n),
    ];
    expect(shown(planOverSellers({ ...given, needs, offers: many }))).toEqual([['dear', 3n, '3000', '0']]);
    const none = [offer('cheap', 'butcher', 'mince', '1', 500n, { maxPacks: 2 })];
    expect(planOverSellers({ ...given, needs, offers: none })).toMatchObject({ lines: [], withoutOffer: ['mince'] });
  });

  it('names what nobody sells, what only one sells, and leaves out a seller whose minimum cannot be reached', () => {
    const needs = new Map([...given.needs, ['saffron', parse('1')]]);
    expect(planOverSellers({ ...given, needs }).withoutOffer).toEqual(['saffron']);
    const offers = [offer('tin', 'market', 'tomatoes', '2/5', 120n), offer('mince', 'butcher', 'mince', '1', 950n)];
    const split = planOverSellers({ ...given, offers });
    expect(nextBest({ ...given, offers }, split)).toEqual({
      next: null,
      only: new Map([
        ['butcher', ['mince']],
        ['market', ['tomatoes']],
      ]),
    });
    const limited = { ...given, offers: [offer('tin', 'market', 'tomatoes', '2/5', 120n, { maxPacks: 6 })] };
    const unreachable = { ...limited, terms: [terms('market', 0n, null, 100_000n)] };
    expect(planOverSellers(unreachable)).toMatchObject({ lines: [], withoutOffer: ['mince', 'tomatoes'] });
  });

  it('falls back on each ingredient by itself where numbers are beyond exact reckoning', () => {
    const offers = [
      offer('fine', 'butcher', 'mince', '1000000007/1000000009', 950n),
      offer('finer', 'butcher', 'mince', '1000000021/1000000033', 951n),
    ];
    const plan = planOverSellers({ ...given, needs: new Map([['mince', parse('3000')]]), offers });
    expect([plan.proof, plan.lines.length]).toEqual(['single', 1]);
  });
});

describe('fees that are due', () => {
  it('are waived from the goods on, once for each seller', () => {
    const line = (sellerId: string, plannedMinor: bigint) => ({ offer: { sellerId }, plannedMinor });
    const all = [terms('market', 300n, 3500n), terms('butcher', 200n)];
    expect([...dueFees([line('market', 3000n), line('market', 499n), line('butcher', 1n)], all)]).toEqual([
      ['butcher', 200n],
      ['market', 300n],
    ]);
    expect([...dueFees([line('market', 3000n), line('market', 500n)], all)]).toEqual([['market', 0n]]);
  });
});
