import { describe, expect, it } from '@jest/globals';
import {
  feeLine,
  lineInHand,
  receiptFrom,
  receiptTotal,
  sentLines,
  tillOf,
  type Purchase,
  type SellerList,
} from './shopping.ts';

const line = (id: string, more: Partial<Purchase> = {}): Purchase => ({
  id,
  offerId: `offer-${id}`,
  ingredient: { id: `ingredient-${id}`, name: id },
  label: `${id}, 2 kg bag`,
  packQuantity: '2',
  packUnit: 'kg',
  packs: 2,
  priceMinor: '250',
  plannedMinor: '500',
  catchWeight: false,
  needed: '3500',
  neededUnit: 'g',
  surplus: '500',
  bought: false,
  paidMinor: null,
  version: 1,
  ...more,
});

const list = (lines: Purchase[], feeMinor = '0'): SellerList => ({
  seller: { id: 'seller', name: 'Seller' },
  goodsMinor: String(lines.reduce((sum, { plannedMinor }) => sum + BigInt(plannedMinor), 0n)),
  ...{ feeMinor, asksMinor: feeMinor, freeFromMinor: null, minimumMinor: '0' },
  plannedMinor: String(lines.reduce((sum, { plannedMinor }) => sum + BigInt(plannedMinor), BigInt(feeMinor))),
  lines,
});

describe('a seller’s list', () => {
  it('counts as spent what is ticked, at the price that was noted', () => {
    const shopping = list([
      line('beans', { bought: true }),
      line('tray', { bought: true, catchWeight: true }),
      line('oil'),
    ]);
    expect(tillOf(shopping, { tray: { quantity: '4.36', amountMinor: '790' } })).toEqual({
      spent: 1290n,
      expected: 1790n,
      planned: 1500n,
      boughtCount: 2,
      count: 3,
    });
  });

  it('expects the seller’s fee, and has spent it with the first thing bought', () => {
    expect(tillOf(list([line('beans')], '300'), {}).spent).toBe(0n);
    expect(tillOf(list([line('beans')], '300'), {}).expected).toBe(800n);
    expect(tillOf(list([line('beans', { bought: true })], '300'), {}).spent).toBe(800n);
  });

  it('takes what was paid over what was noted', () => {
    expect(
      tillOf(list([line('beans', { bought: true, paidMinor: '480' })]), { beans: { quantity: null, amountMinor: '1' } })
        .spent,
    ).toBe(480n);
  });

  it('has in hand the first line that must be weighed', () => {
    expect(lineInHand(list([line('beans'), line('tray', { catchWeight: true })]))?.id).toBe('tray');
    expect(lineInHand(list([line('tray', { catchWeight: true, bought: true })]))).toBeUndefined();
  });
});

describe('a receipt before it is typed', () => {
  it('is what was planned where nothing is ticked', () => {
    const lines = receiptFrom(list([line('beans'), line('oil')], '300'), {}, 'Delivery');
    expect(
      lines.map(({ label, amountMinor, quantity, isLeftOut }) => [label, amountMinor, quantity, isLeftOut]),
    ).toEqual([
      ['beans, 2 kg bag', '500', '4', false],
      ['oil, 2 kg bag', '500', '4', false],
      ['Delivery', '300', null, false],
    ]);
    expect(receiptTotal(lines)).toBe(1300n);
  });

  it('leaves out what is not ticked and what another receipt has paid', () => {
    const shopping = list([
      line('beans', { bought: true }),
      line('oil'),
      line('salt', { bought: true, paidMinor: '90' }),
    ]);
    const lines = receiptFrom(shopping, { beans: { quantity: '4.2', amountMinor: '525' } }, 'Delivery');
    expect(lines.map(({ purchaseId, isLeftOut }) => [purchaseId, isLeftOut])).toEqual([
      ['beans', false],
      ['oil', true],
    ]);
    expect(receiptTotal(lines)).toBe(525n);
  });

  it('asks for the seller’s fee once', () => {
    const shopping = list([line('beans', { bought: true, paidMinor: '500' }), line('oil')], '300');
    expect(receiptFrom(shopping, {}, 'Delivery').map(({ kind }) => kind)).toEqual(['goods']);
  });

  it('sends only what is on it, and remembers where each line stands in the form', () => {
    const shopping = list([line('beans'), line('tray', { bought: true, catchWeight: true })]);
    const lines = [
      ...receiptFrom(shopping, { tray: { quantity: '4.36', amountMinor: '790' } }, ''),
      feeLine('Parking', '150'),
    ];
    expect(sentLines(lines)).toEqual([
      {
        index: 1,
        line: {
          kind: 'goods',
          purchaseId: 'tray',
          ingredientId: null,
          label: 'tray, 2 kg bag',
          packs: 2,
          actualQuantity: '4.36',
          unit: 'kg',
          amountMinor: '790',
          lots: [],
        },
      },
      {
        index: 2,
        line: {
          kind: 'fee',
          purchaseId: null,
          ingredientId: null,
          label: 'Parking',
          packs: null,
          actualQuantity: null,
          unit: null,
          amountMinor: '150',
          lots: [],
        },
      },
    ]);
  });
});
