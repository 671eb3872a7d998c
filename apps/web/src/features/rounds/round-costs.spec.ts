import { describe, expect, it } from '@jest/globals';
import { costsByHousehold } from './round-costs.ts';

const named = (name: string) => ({ id: name, name });
const receipt = (paidBy: string, totalMinor: string, split: Record<string, string>) => ({
  id: `receipt-${paidBy}-${totalMinor}`,
  seller: named('Seller'),
  paidBy: named(paidBy),
  boughtOn: '2026-11-27',
  totalMinor,
  note: '',
  createdAt: '2026-11-27T10:00:00.000Z',
  createdBy: 'Somebody',
  lines: [
    {
      id: 'line',
      kind: 'goods' as const,
      label: 'Goods',
      packs: null,
      actualQuantity: null,
      unit: null,
      amountMinor: totalMinor,
      correctsLineId: null,
      lots: [],
      split: Object.entries(split).map(([name, amountMinor]) => ({
        household: named(name),
        share: '1',
        of: '2',
        amountMinor,
      })),
    },
  ],
});

describe('what a round cost each household', () => {
  const rows = costsByHousehold([
    receipt('Alder', '1001', { Alder: '501', Birch: '500' }),
    receipt('Birch', '300', { Alder: '100', Birch: '100', Cedar: '100' }),
    receipt('Alder', '-51', { Alder: '-26', Birch: '-25' }),
  ]);

  it('adds up its parts and what it paid, refunds included', () => {
    expect(rows).toEqual([
      { householdId: 'Alder', name: 'Alder', share: 575n, paid: 950n, difference: 375n },
      { householdId: 'Birch', name: 'Birch', share: 575n, paid: 300n, difference: -275n },
      { householdId: 'Cedar', name: 'Cedar', share: 100n, paid: 0n, difference: -100n },
    ]);
  });

  it('leaves nothing over', () => {
    expect(rows.reduce((sum, row) => sum + row.difference, 0n)).toBe(0n);
  });
});
