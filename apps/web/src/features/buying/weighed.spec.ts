import { describe, expect, it } from '@jest/globals';
import { rational } from '@frostmoot/calc';
import { amountOf, labelQuantity, pricePerUnit, probablyMeant } from './weighed.ts';

describe('goods priced by their weight', () => {
  it('prices the weight on the label by the price of the pack', () => {
    // 25.60 for 4 kg is 6.40 a kilogram; 4.36 x 6.40 = 27.904.
    const perKilo = pricePerUnit('2560', '4');
    expect(rational.format(perKilo)).toBe('640');
    expect(amountOf('4.36', perKilo)).toBe('2790');
  });

  it('rounds half a minor unit up', () => {
    expect(amountOf('0.5', rational.parse('645'))).toBe('323');
  });

  it('adds up what the packs say', () => {
    expect(rational.format(labelQuantity(3, '2.5'))).toBe('15/2');
  });

  it('asks about a weight that is five times off', () => {
    const planned = rational.parse('4');
    expect(probablyMeant('43.6', planned)).toBe('4.36');
    expect(probablyMeant('4360', planned)).toBe('4.36');
    expect(probablyMeant('0.436', planned)).toBe('4.36');
    expect(probablyMeant('20', planned)).toBe('2');
  });

  it('does not ask about a plausible weight', () => {
    expect(probablyMeant('4.36', rational.parse('4'))).toBeUndefined();
    expect(probablyMeant('19.9', rational.parse('4'))).toBeUndefined();
    expect(probablyMeant('0.81', rational.parse('4'))).toBeUndefined();
  });
});
