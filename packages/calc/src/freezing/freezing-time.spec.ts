import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { add, cmp, div, format, mul, parse, rational } from '../rational.ts';
import { freezingTime } from './freezing-time.ts';

// R. L. Earle, Unit Operations in Food Processing (web edition), slab of meat of 10 cm between plates: the data and both times are from memory; the heats
// of its correction for sensible heat were read.
const slab = {
  shape: 'slab',
  thickness: '0.1',
  density: '1090',
  latentHeat: '256000',
  conductivity: '1.6',
  surfaceCoefficient: '600',
  freezingPoint: '-2',
  medium: '-34',
};
const card = [{ thickness: '0.001', conductivity: '0.06' }];
const sensibleHeat = { before: '39000', after: '28000' };
const hours = (seconds: string): number => Number(parse(seconds).n) / Number(parse(seconds).d) / 3600;

describe("Plank's equation, against Earle's slab of meat", () => {
  it.each([
    [{ ...slab, layers: card }, 4.1, 14_806],
    [slab, 2.1, 7_539],
    [{ ...slab, layers: card, sensibleHeat }, 5.2, 18_681],
    [{ ...slab, sensibleHeat }, 2.6, 9_512],
  ])('%j takes %f hours', (input, published, rounded) => {
    const result = freezingTime(input);
    expect(hours(result.seconds).toFixed(1)).toBe(published.toFixed(1));
    expect(result.secondsRounded).toBe(rounded);
    expect(result.estimate).toBe(true);
  });

  it('gives the exact fraction and the inputs', () => {
    const result = freezingTime({ ...slab, layers: card });
    // 1090 x 256000 / 32 x (1/2 x 0.1 x (1/600 + 1/60) + 1/8 x 0.01 / 1.6), by hand 8720000 x (11/12000 + 1/1280).
    const byHand = mul(parse('8720000'), add(parse('11/12000'), parse('1/1280')));
    expect(result.seconds).toBe(format(byHand));
    expect(result.inputs).toEqual({
      ...{ ...slab, thickness: '1/10', conductivity: '8/5' },
      layers: [{ thickness: '1/1000', conductivity: '3/50' }],
      sensibleHeat: { before: '0', after: '0' },
    });
    expect(freezingTime({ ...slab, sensibleHeat }).heatPerKilogram).toBe('323000');
  });
});

describe("Plank's equation", () => {
  it('gives 0.72 h for a sphere of 7 cm', () => {
    // After an example of Singh and Heldman, Introduction to Food Engineering; its data are from memory and its answer was not read.
    const sphere = {
      shape: 'sphere',
      thickness: '0.07',
      density: '1000',
      latentHeat: '250000',
      conductivity: '1.2',
      surfaceCoefficient: '50',
      freezingPoint: '-1.25',
      medium: '-40',
    };
    expect(freezingTime(sphere).secondsRounded).toBe(2603);
  });

  it('is slab : cylinder : sphere as 6 : 3 : 2 for the same thickness', () => {
    const [first, second, third] = ['slab', 'cylinder', 'sphere'].map((shape) =>
      parse(freezingTime({ ...slab, shape }).seconds),
    );
    expect(div(first ?? rational(0n), second ?? rational(1n))).toEqual(rational(2n));
    expect(div(first ?? rational(0n), third ?? rational(1n))).toEqual(rational(3n));
  });

  it('takes longer for thicker food, a warmer medium and every layer more', () => {
    const part = fc.integer({ min: 1, max: 400 });
    fc.assert(
      fc.property(part, part, fc.integer({ min: -60, max: -4 }), (thin, more, medium) => {
        const time = (changes: object) => parse(freezingTime({ ...slab, ...changes }).seconds);
        const thickness = format(rational(BigInt(thin), 500n));
        const base = time({ thickness, medium });
        expect(cmp(time({ thickness: format(rational(BigInt(thin + more), 500n)), medium }), base)).toBe(1);
        expect(cmp(time({ thickness, medium: medium + 1 }), base)).toBe(1);
        expect(cmp(time({ thickness, medium, layers: card }), base)).toBe(1);
        const other = { thickness: '0.002', conductivity: '0.2' };
        const both = freezingTime({ ...slab, layers: [...card, other] });
        expect(freezingTime({ ...slab, layers: [other, ...card] })).toEqual(both);
      }),
    );
  });

  it.each([
    [{ ...slab, shape: 'cube' }, '#/shape'],
    [{ ...slab, thickness: '100' }, '#/thickness'],
    [{ ...slab, thickness: '-0.1' }, '#/thickness'],
    [{ ...slab, conductivity: '0' }, '#/conductivity'],
    [{ ...slab, latentHeat: 'NaN' }, '#/latentHeat'],
    [{ ...slab, medium: '-2' }, '#/medium'],
    [{ ...slab, medium: '-2.5' }, '#/medium'],
    [{ ...slab, layers: [{ thickness: '0.001', conductivity: '0' }] }, '#/layers/0/conductivity'],
    [{ ...slab, sensibleHeat: { before: '-1', after: '0' } }, '#/sensibleHeat/before'],
    [{ ...slab, surfaceCoefficient: undefined }, '#/surfaceCoefficient'],
  ])('refuses %j', (input, pointer) => {
    expect(() => freezingTime(input)).toThrow(
      expect.objectContaining({ code: 'invalid-input', errors: [expect.objectContaining({ pointer })] }),
    );
  });

  it('stays a whole number at the ends of every range', () => {
    const worst = freezingTime({
      ...{ shape: 'slab', thickness: '2', density: '20000', latentHeat: '10000000', conductivity: '0.001' },
      ...{ surfaceCoefficient: '0.1', freezingPoint: '-2', medium: '-3' },
      layers: Array.from({ length: 20 }, () => ({ thickness: '0.1', conductivity: '0.001' })),
      sensibleHeat: { before: '10000000', after: '10000000' },
    });
    expect(Number.isSafeInteger(worst.secondsRounded)).toBe(true);
  });
});
