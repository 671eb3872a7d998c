import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { parse } from '../rational.ts';
import type { BuyPlanOutput } from './buy-plan.ts';
import { buyPlan } from './buy-plan.ts';
import { verifyBuyPlan } from './verify-buy-plan.ts';

interface Given {
  currency: string;
  needs: { ingredient: string; quantity: string; unit: string; storable?: { upTo: string; valuePerUnit: string } }[];
  sellers: { id: string; fee: string; freeFrom?: string; minimumOrder?: string }[];
  offers: {
    id: string;
    seller: string;
    ingredient: string;
    pack: string;
    unit: string;
    price: string;
    minPacks?: number;
    maxPacks?: number;
  }[];
}

const minor = (min: number, max: number) => fc.integer({ min, max }).map(String);
const sometimes = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });

const offerOf = (sellers: number, needs: number) =>
  fc.record({
    seller: fc.integer({ min: 0, max: sellers - 1 }),
    ingredient: fc.integer({ min: 0, max: needs - 1 }),
    pack: fc.constantFrom('2', '3', '5', '7', '10', '5/2'),
    price: minor(10, 60),
    minPacks: sometimes(fc.integer({ min: 0, max: 3 })),
    maxPacks: sometimes(fc.integer({ min: 3, max: 6 })),
  });

/** Small enough for every plan to be looked at. */
const given: fc.Arbitrary<Given> = fc
  .record({ sellers: fc.integer({ min: 1, max: 3 }), needs: fc.integer({ min: 1, max: 3 }) })
  .chain(({ sellers, needs }) =>
    fc.record({
      currency: fc.constant('EUR'),
      needs: fc.array(
        fc.record({
          quantity: fc.constantFrom('1', '4', '7', '9', '13/2', '12'),
          storable: sometimes(
            fc.record({ upTo: fc.constantFrom('0', '2', '7/2', '6'), valuePerUnit: fc.constantFrom('1', '5/2', '4') }),
          ),
        }),
        { minLength: needs, maxLength: needs },
      ),
      sellers: fc.array(
        fc.record({ fee: minor(0, 40), freeFrom: sometimes(minor(0, 160)), minimumOrder: sometimes(minor(0, 160)) }),
        { minLength: sellers, maxLength: sellers },
      ),
      offers: fc.array(offerOf(sellers, needs), { minLength: 1, maxLength: 6 }),
    }),
  )
  .map(({ currency, needs, sellers, offers }) => ({
    currency,
    needs: needs.map((need, index) => ({ ingredient: `i${index}`, unit: 'kg', ...need })),
    sellers: sellers.map((seller, index) => ({ id: `s${index}`, ...seller })),
    offers: offers.map((offer, index) => ({
      ...offer,
      id: `o${index}`,
      seller: `s${offer.seller}`,
      ingredient: `i${offer.ingredient}`,
      unit: 'kg',
    })),
  }));

const number = (text: string): number => {
  const { n, d } = parse(text);
  return Number(n) / Number(d);
};

/**
 * Total less stored worth of the cheapest plan, by looking at every one; undefined when there is none. What cannot end under `known`, which some plan
 * reaches, is left out, the worth of what is stored being limited. The numbers are halves here, so floats are exact.
 */
function cheapest({ needs, sellers, offers }: Given, known: number | undefined): number | undefined {
  let best: number | undefined;
  const counts = offers.map(() => 0);
  const read = offers.map(({ pack, price, seller, ingredient, minPacks = 0, maxPacks = 18 }) => {
    const at = [Number(seller.slice(1)), Number(ingredient.slice(1))] as const;
    return { seller: at[0], need: at[1], pack: number(pack), price: number(price), least: minPacks, most: maxPacks };
  });
  const fees = sellers.map(({ fee, freeFrom, minimumOrder }) => ({
    fee: number(fee),
    freeFrom: freeFrom === undefined ? Infinity : number(freeFrom),
    minimum: number(minimumOrder ?? '0'),
  }));
  const wants = needs.map(({ quantity, storable }) => ({
    quantity: number(quantity),
    upTo: number(storable?.upTo ?? '0'),
    worth: number(storable?.valuePerUnit ?? '0'),
  }));
  const greatestWorth = wants.reduce((sum, { upTo, worth }) => sum + upTo * worth, 0);
  const costOf = (): number | undefined => {
    const goods = fees.map(() => -1);
    const over = wants.map(({ quantity }) => -quantity);
    read.forEach(({ seller, need, pack, price }, k) => {
      const count = counts[k] ?? 0;
      if (count === 0) return;
      goods[seller] = Math.max(0, goods[seller] ?? 0) + count * price;
      over[need] = (over[need] ?? 0) + count * pack;
    });
    if (over.some((quantity) => quantity < 0)) return undefined;
    if (fees.some(({ minimum }, s) => (goods[s] ?? 0) >= 0 && (goods[s] ?? 0) < minimum)) return undefined;
    const paid = fees.map(({ fee, freeFrom }, s) =>
      (goods[s] ?? 0) < 0 ? 0 : (goods[s] ?? 0) + ((goods[s] ?? 0) >= freeFrom ? 0 : fee),
    );
    const stored = wants.map(({ upTo, worth }, n) => Math.min(over[n] ?? 0, upTo) * worth);
    return paid.reduce((a, b) => a + b, 0) - stored.reduce((a, b) => a + b, 0);
  };
  const choose = (k: number, spent: number): void => {
    const offer = read[k];
    if (!offer) {
      const cost = costOf();
      if (cost !== undefined && (best === undefined || cost < best)) best = cost;
      return;
    }
    for (let count = 0; count <= offer.most; count += 1) {
      if (count > 0 && count < offer.least) continue;
      const now = spent + count * offer.price;
      if (now - greatestWorth > Math.min(best ?? Infinity, known ?? Infinity)) break;
      counts[k] = count;
      choose(k + 1, now);
    }
    counts[k] = 0;
  };
  choose(0, 0);
  return best;
}

/** Whether there is any plan: then there is one that takes all that some of the sellers have. */
function isPossible({ needs, sellers, offers }: Given): boolean {
  return Array.from({ length: 2 ** sellers.length }, (_, set) => {
    const all = offers.filter(({ seller }) => (set >> Number(seller.slice(1))) & 1);
    const sumOf = (some: Given['offers'], of: 'pack' | 'price'): number =>
      some.reduce((sum, offer) => sum + number(offer[of]) * (offer.maxPacks ?? 50), 0);
    const isEnough = needs.every(
      ({ ingredient, quantity }) =>
        sumOf(
          all.filter((offer) => offer.ingredient === ingredient),
          'pack',
        ) >= number(quantity),
    );
    const isReached = sellers.every(({ id, minimumOrder = '0' }) => {
      const mine = all.filter(({ seller }) => seller === id);
      return mine.length === 0 || sumOf(mine, 'price') >= number(minimumOrder);
    });
    return isEnough && isReached;
  }).includes(true);
}

function planOrRefusal(input: Given): BuyPlanOutput | undefined {
  try {
    return buyPlan(input);
  } catch (error) {
    expect(error).toMatchObject({ code: 'no-offer' });
    return undefined;
  }
}

const netOf = ({ total, stored = '0' }: BuyPlanOutput): number => number(total) - number(stored);

describe('buyPlan', () => {
  it('costs as little as the cheapest of all plans that there are, and refuses only where there is none', () => {
    fc.assert(
      fc.property(given, (input) => {
        const plan = planOrRefusal(input);
        if (!plan) return expect(isPossible(input)).toBe(false);
        expect(netOf(plan)).toBe(cheapest(input, netOf(plan)));
        expect(plan.proof).toBe('optimal');
        expect(verifyBuyPlan(input, plan)).toEqual([]);
      }),
      { numRuns: 3000 },
    );
  });

  it('gives the same bytes in whatever order the lists are', () => {
    fc.assert(
      fc.property(given, (input) => {
        const plan = planOrRefusal(input);
        const turned = {
          ...input,
          needs: [...input.needs].reverse(),
          sellers: [...input.sellers].reverse(),
          offers: [...input.offers].reverse(),
        };
        expect(canonicalJson(planOrRefusal(turned) ?? null)).toBe(canonicalJson(plan ?? null));
      }),
      { numRuns: 500 },
    );
  });
});
