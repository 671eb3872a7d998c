import { describe, expect, it } from '@jest/globals';
import { rational } from '@frostmoot/calc';
import type { ShareOutPart } from './share-out-query.ts';
import { whySum } from './why-sum.ts';

const part = (more: Partial<ShareOutPart>): ShareOutPart => ({
  household: { id: 'a', name: 'Alder' },
  weight: '3',
  totalWeight: '18',
  entitlement: '37/3',
  owedBefore: '2/5',
  target: '191/15',
  received: '13',
  owedAfter: '-4/15',
  short: '0',
  freezerFreeLitres: null,
  cannotEat: [],
  containers: [],
  ...more,
});
const others = part({ household: { id: 'b', name: 'Birch' }, weight: '15', entitlement: '185/3' });

describe('the sum that says why', () => {
  it('divides what all entitlements come to by headcount', () => {
    const sum = whySum(part({}), [part({}), others]);
    expect(rational.format(sum.shared)).toBe('74');
    expect(rational.format(sum.byWeight)).toBe('37/3');
    expect(rational.eq(sum.byWeight, sum.entitlement)).toBe(true);
    expect(sum.addsUpRounded).toBe(true);
  });

  it('tells a part that food which not everybody may eat has made another', () => {
    const less = part({ entitlement: '10', target: '52/5', received: '10', owedAfter: '2/5' });
    const sum = whySum(less, [less, part({ weight: '15', entitlement: '64' })]);
    expect(rational.format(sum.byWeight)).toBe('37/3');
    expect(rational.eq(sum.byWeight, sum.entitlement)).toBe(false);
  });

  it('notices when two decimals no longer add up', () => {
    // 15.73 - 0.67 is 15.06, and the exact sum is written as 15.07.
    const carried = part({
      entitlement: '236/15',
      owedBefore: '-2/3',
      target: '226/15',
      received: '15',
      owedAfter: '1/15',
    });
    expect(whySum(carried, [carried]).addsUpRounded).toBe(false);
  });
});
