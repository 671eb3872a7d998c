import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import type { BuyPlanOutput } from './buy-plan.ts';
import { buyPlan } from './buy-plan.ts';
import { verifyBuyPlan } from './verify-buy-plan.ts';

const base = {
  currency: 'EUR',
  needs: [
    { ingredient: 'mince', quantity: '3', unit: 'kg' },
    { ingredient: 'tomatoes', quantity: '2400', unit: 'g' },
  ],
  sellers: [
    { id: 'butcher', fee: '0' },
    { id: 'market', fee: '300', freeFrom: '3500' },
  ],
  offers: [
    { id: 'bm', seller: 'butcher', ingredient: 'mince', pack: '1', unit: 'kg', price: '950' },
    { id: 'bt', seller: 'butcher', ingredient: 'tomatoes', pack: '1', unit: 'kg', price: '350' },
    { id: 'mm', seller: 'market', ingredient: 'mince', pack: '1', unit: 'kg', price: '900' },
    { id: 'mt', seller: 'market', ingredient: 'tomatoes', pack: '400', unit: 'g', price: '120' },
  ],
};
type Given = typeof base;

const changed = (change: (copy: Given) => void): Given => {
  const copy = structuredClone(base);
  change(copy);
  return copy;
};

function refusalOf(input: unknown): { code: string; pointers: string[] } {
  try {
    buyPlan(input);
  } catch (error) {
    if (error instanceof DomainError) return { code: error.code, pointers: error.errors.map(({ pointer }) => pointer) };
    throw error;
  }
  throw new Error('It was not refused.');
}

describe('buyPlan', () => {
  it('buys a tin more where that makes delivery free', () => {
    expect(buyPlan(base)).toEqual({
      proof: 'optimal',
      packs: { mm: 3, mt: 7 },
      sellers: { market: { goods: '3540', fee: '0' } },
      surplus: { tomatoes: '400' },
      total: '3540',
    });
  });

  it('pays the fee where reaching the threshold would cost more', () => {
    const plan = buyPlan(changed(({ sellers }) => Object.assign(sellers[1] ?? {}, { freeFrom: '4000' })));
    expect(plan).toMatchObject({
      packs: { mm: 3, mt: 6 },
      sellers: { market: { goods: '3420', fee: '300' } },
      total: '3720',
    });
  });

  it('leaves a seller whose minimum order is too dear', () => {
    const plan = buyPlan(changed(({ sellers }) => Object.assign(sellers[1] ?? {}, { minimumOrder: '4200' })));
    expect(plan).toMatchObject({ packs: { bm: 3, bt: 3 }, total: '3900' });
  });

  it('keeps to the packs that must be and can be had', () => {
    const plan = buyPlan(
      changed(({ offers }) => {
        Object.assign(offers[2] ?? {}, { maxPacks: 1 });
        Object.assign(offers[3] ?? {}, { minPacks: 20 });
      }),
    );
    expect(plan.packs).toEqual({ bm: 3, bt: 3 });
  });

  it('buys nothing for no needs', () => {
    const nothing = { proof: 'optimal', packs: {}, sellers: {}, surplus: {}, total: '0' };
    expect(buyPlan({ ...base, needs: [] })).toEqual(nothing);
    expect(buyPlan({ currency: 'EUR', needs: [], sellers: [], offers: [] })).toEqual(nothing);
  });

  it('takes the fewest sellers and packs of equally cheap plans', () => {
    const offers = [
      { id: 'a', seller: 'x', ingredient: 'mince', pack: '1', unit: 'kg', price: '500' },
      { id: 'b', seller: 'y', ingredient: 'mince', pack: '1', unit: 'kg', price: '500' },
      { id: 'c', seller: 'y', ingredient: 'tomatoes', pack: '1200', unit: 'g', price: '300' },
      { id: 'd', seller: 'y', ingredient: 'tomatoes', pack: '2400', unit: 'g', price: '600' },
    ];
    const sellers = ['x', 'y'].map((id) => ({ id, fee: '0' }));
    expect(buyPlan({ ...base, sellers, offers }).packs).toEqual({ b: 3, d: 1 });
  });

  it('counts packs of pounds and of kilograms exactly', () => {
    const offers = [
      { id: 'lb', seller: 'butcher', ingredient: 'mince', pack: '1', unit: 'lb', price: '400' },
      { id: 'kg', seller: 'butcher', ingredient: 'mince', pack: '1', unit: 'kg', price: '900' },
    ];
    // 2 kg and 2 lb are 2.907 kg, 1 kg and 5 lb 3.268 kg; 7 lb are 3.175 kg for 2800, 3 kg cost 2700.
    const plan = buyPlan({ ...base, needs: base.needs.slice(0, 1), offers });
    expect(plan).toMatchObject({ packs: { kg: 3 }, total: '2700' });
    const dearer = offers.map((offer) => (offer.id === 'kg' ? { ...offer, price: '950' } : offer));
    expect(buyPlan({ ...base, needs: base.needs.slice(0, 1), offers: dearer })).toMatchObject({
      packs: { lb: 7 },
      surplus: { mince: '17514659/100000000' },
    });
  });

  it('turns a volume into a mass with the density of the need', () => {
    const oil = {
      ingredient: 'oil',
      quantity: '1840',
      unit: 'g',
      density: { source: 'label', item: 'oil', gramsPerMl: '0.92' },
    };
    const offers = [{ id: 'can', seller: 'butcher', ingredient: 'oil', pack: '1', unit: 'L', price: '700' }];
    expect(buyPlan({ ...base, needs: [oil], offers })).toMatchObject({ packs: { can: 2 }, surplus: {} });
  });

  it('costs no less when a price rises, and no more when a seller joins', () => {
    const total = (input: Given): number => Number(buyPlan(input).total);
    for (const [index] of base.offers.entries()) {
      let before = total(base);
      for (let price = Number(base.offers[index]?.price); price < 2000; price += 77) {
        const now = total(changed(({ offers }) => Object.assign(offers[index] ?? {}, { price: String(price) })));
        expect(now).toBeGreaterThanOrEqual(before);
        before = now;
      }
    }
    const joined = changed(({ sellers, offers }) => {
      sellers.push({ id: 'new', fee: '50' });
      offers.push({ id: 'nm', seller: 'new', ingredient: 'mince', pack: '2', unit: 'kg', price: '1500' });
    });
    expect(total(joined)).toBeLessThanOrEqual(total(base));
  });
});

describe('buyPlan refuses', () => {
  it.each<[string, string, string[], (copy: Given) => void]>([
    [
      'no offer',
      'no-offer',
      ['#/needs/1'],
      (copy) => (copy.offers = copy.offers.filter(({ ingredient }) => ingredient === 'mince')),
    ],
    [
      'too few packs',
      'no-offer',
      ['#/needs/0'],
      ({ offers }) => [0, 2].forEach((k) => Object.assign(offers[k] ?? {}, { maxPacks: 1 })),
    ],
    [
      'minimum orders out of reach',
      'no-offer',
      ['#/sellers'],
      ({ offers, sellers }) => {
        offers.forEach((offer) => Object.assign(offer, { maxPacks: 9 }));
        sellers.forEach((seller) => Object.assign(seller, { minimumOrder: '999999' }));
      },
    ],
    [
      'an unknown seller',
      'invalid-input',
      ['#/offers/0/seller'],
      ({ offers }) => Object.assign(offers[0] ?? {}, { seller: 'x' }),
    ],
    [
      'an unknown unit',
      'unknown-unit',
      ['#/needs/0/unit'],
      ({ needs }) => Object.assign(needs[0] ?? {}, { unit: 'heap' }),
    ],
    [
      'units that do not meet',
      'units-incompatible',
      ['#/offers/1/unit'],
      ({ offers }) => Object.assign(offers[1] ?? {}, { unit: 'each' }),
    ],
    [
      'a volume without a density',
      'density-missing',
      ['#/offers/1/unit'],
      ({ offers }) => Object.assign(offers[1] ?? {}, { unit: 'L' }),
    ],
    [
      'a need given twice',
      'duplicate-id',
      ['#/needs/2/ingredient'],
      ({ needs }) => needs.push({ ingredient: 'mince', quantity: '1', unit: 'kg' }),
    ],
    [
      'an offer given twice',
      'duplicate-id',
      ['#/offers/4/id'],
      ({ offers }) => offers.push({ ...(offers[0] as Given['offers'][0]) }),
    ],
    [
      'nothing needed of something',
      'invalid-input',
      ['#/needs/0/quantity'],
      ({ needs }) => Object.assign(needs[0] ?? {}, { quantity: '0' }),
    ],
    [
      'an empty pack',
      'invalid-input',
      ['#/offers/0/pack'],
      ({ offers }) => Object.assign(offers[0] ?? {}, { pack: '-1' }),
    ],
    [
      'a price that is no whole number',
      'invalid-input',
      ['#/offers/0/price'],
      ({ offers }) => Object.assign(offers[0] ?? {}, { price: '9.50' }),
    ],
    [
      'a price below nil',
      'invalid-input',
      ['#/offers/0/price'],
      ({ offers }) => Object.assign(offers[0] ?? {}, { price: '-950' }),
    ],
    [
      'a price beyond reckoning',
      'invalid-input',
      ['#/offers/0/price'],
      ({ offers }) => Object.assign(offers[0] ?? {}, { price: '99999999999' }),
    ],
    [
      'more at least than at most',
      'invalid-input',
      ['#/offers/0/maxPacks'],
      ({ offers }) => Object.assign(offers[0] ?? {}, { minPacks: 3, maxPacks: 2 }),
    ],
    ['a currency that is none', 'invalid-input', ['#/currency'], (copy) => (copy.currency = 'EUX')],
    [
      'a misspelt member',
      'invalid-input',
      ['#/sellers/0/freefrom'],
      ({ sellers }) => Object.assign(sellers[0] ?? {}, { freefrom: '1' }),
    ],
    [
      'a fraction as a float',
      'invalid-input',
      ['#/needs/0/quantity'],
      ({ needs }) => Object.assign(needs[0] ?? {}, { quantity: 2.5 }),
    ],
    [
      'more packs than can be counted',
      'too-large',
      ['#/needs/0'],
      ({ needs }) => Object.assign(needs[0] ?? {}, { quantity: '99999999999999999' }),
    ],
  ])('%s', (_, code, pointers, change) => {
    expect(refusalOf(changed(change))).toEqual({ code, pointers });
  });
});

describe('verifyBuyPlan', () => {
  const input = changed(({ needs }) =>
    Object.assign(needs[1] ?? {}, { storable: { upTo: '300', valuePerUnit: '1/10' } }),
  );
  const sound = buyPlan(input);

  it('has nothing against what buyPlan gives', () => {
    expect(sound.stored).toBe('30');
    expect(verifyBuyPlan(input, sound)).toEqual([]);
  });

  it.each<[string, string, (copy: BuyPlanOutput) => void]>([
    ['a pack less', 'need-not-covered', ({ packs }) => (packs.mm = 2)],
    ['a pack more', 'goods-wrong', ({ packs }) => (packs.mt = 8)],
    ['half a pack', 'not-a-count', ({ packs }) => (packs.mt = 6.5)],
    ['no packs that are listed', 'not-a-count', ({ packs }) => (packs.bm = 0)],
    ['an offer that is not there', 'unknown-offer', ({ packs }) => (packs.zz = 1)],
    ['a seller with nothing bought', 'goods-wrong', ({ sellers }) => (sellers.butcher = { goods: '0', fee: '0' })],
    ['a seller that is not there', 'unknown-seller', ({ sellers }) => (sellers.zz = { goods: '0', fee: '0' })],
    ['a cent of goods', 'goods-wrong', ({ sellers }) => (sellers.market = { goods: '3541', fee: '0' })],
    ['a cent of fee', 'fee-wrong', ({ sellers }) => (sellers.market = { goods: '3540', fee: '1' })],
    ['a cent of the total', 'total-wrong', (copy) => (copy.total = '3539')],
    ['a gram of surplus', 'surplus-wrong', ({ surplus }) => (surplus.tomatoes = '401')],
    ['a surplus that is left out', 'surplus-wrong', (copy) => (copy.surplus = {})],
    ['a surplus of nothing', 'surplus-wrong', ({ surplus }) => (surplus.mince = '0')],
    ['worth that is not there', 'stored-wrong', (copy) => (copy.stored = '31')],
    ['worth that is left out', 'stored-wrong', (copy) => delete copy.stored],
    ['a bound above the cost', 'bound-wrong', (copy) => Object.assign(copy, { proof: 'bounded', atLeast: '3511' })],
    ['a bound beside a proof', 'bound-wrong', (copy) => (copy.atLeast = '3500')],
    ['a proof of another kind', 'proof-unknown', (copy) => Object.assign(copy, { proof: 'surely' })],
  ])('refuses %s', (_, code, change) => {
    const copy = structuredClone(sound);
    change(copy);
    expect(verifyBuyPlan(input, copy).map((violation) => violation.code)).toContain(code);
  });

  it('refuses packs beyond their bounds and a minimum order that is missed', () => {
    const bounded = changed(({ offers, sellers }) => {
      Object.assign(offers[2] ?? {}, { minPacks: 4 });
      Object.assign(sellers[1] ?? {}, { minimumOrder: '3600' });
    });
    const found = verifyBuyPlan(bounded, sound).map(({ code, where }) => `${code} ${where}`);
    expect(found).toEqual(expect.arrayContaining(['packs-out-of-bounds mm', 'minimum-not-reached market']));
  });
});
