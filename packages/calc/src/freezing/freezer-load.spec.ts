import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { add, cmp, parse } from '../rational.ts';
import { freezerLoad } from './freezer-load.ts';

const pounds = (quantity: string) => ({ quantity, unit: 'lb' });
const feet = (quantity: string) => ({ quantity, unit: 'ft3' });

describe('freezerLoad', () => {
  it('gives a freezer of 7 cubic feet 14 to 21 lb a day and about 245 lb in all', () => {
    // USDA home freezing bulletin and extension services: 2 to 3 lb per cubic foot in 24 hours, 35 lb per cubic foot.
    expect(freezerLoad({ volume: feet('7'), adding: pounds('40'), held: pounds('200') })).toEqual({
      estimate: true,
      unit: 'lb',
      perDay: { least: '14', most: '21' },
      capacity: '245',
      left: '45',
      days: { least: 2, most: 3 },
      warnings: ['above-daily-load'],
      inputs: { volume: { quantity: '7', unit: 'ft3' }, adding: '40', held: '200' },
    });
  });

  it('gives 40 to 60 lb a day to 20 cubic feet', () => {
    // The same bulletins' own example.
    expect(freezerLoad({ volume: feet('20'), adding: pounds('0') }).perDay).toEqual({ least: '40', most: '60' });
  });

  it('converts exactly: 35 lb per cubic foot is 0.56065 kg per litre', () => {
    const { capacity, unit } = freezerLoad({
      volume: { quantity: '1', unit: 'L' },
      adding: { quantity: '0', unit: 'kg' },
    });
    // 35 x 0.45359237 kg over 28.316846592 L, both exact by definition.
    expect(unit).toBe('kg');
    expect(parse(capacity)).toEqual(parse('15875732950/28316846592'));
  });

  it.each([
    ['14', '0', []],
    ['14.1', '0', ['above-lower-daily-load']],
    ['21', '0', ['above-lower-daily-load']],
    ['21.1', '0', ['above-daily-load']],
    ['14', '231', []],
    ['14', '231.1', ['above-capacity']],
    ['246', '0', ['above-daily-load', 'above-capacity']],
  ])('adding %s lb to %s lb warns of %j', (adding, held, warnings) => {
    expect(freezerLoad({ volume: feet('7'), adding: pounds(adding), held: pounds(held) }).warnings).toEqual(warnings);
  });

  it('leaves nothing in a freezer that is overfull', () => {
    expect(freezerLoad({ volume: feet('7'), adding: pounds('1'), held: pounds('300') }).left).toBe('0');
  });

  it('never promises more for less, and the same in grams as in kilograms', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 900 }), fc.integer({ min: 0, max: 300_000 }), (litres, grams) => {
        const volume = { quantity: litres, unit: 'L' };
        const inGrams = freezerLoad({ volume, adding: { quantity: grams, unit: 'g' } });
        const inKilograms = freezerLoad({ volume, adding: { quantity: `${grams}/1000`, unit: 'kg' } });
        expect([inGrams.warnings, inGrams.days]).toEqual([inKilograms.warnings, inKilograms.days]);
        expect(inGrams.days.least <= inGrams.days.most).toBe(true);
        const most = parse(inGrams.perDay.most);
        let frozen = parse('0');
        for (let day = 0; day < inGrams.days.least; day++) frozen = add(frozen, most);
        expect(cmp(frozen, parse(String(grams)))).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it.each([
    [{ volume: { quantity: '0', unit: 'L' }, adding: pounds('1') }, 'invalid-input', '#/volume/quantity'],
    [{ volume: feet('7'), adding: pounds('-1') }, 'invalid-input', '#/adding/quantity'],
    [{ volume: feet('7'), adding: { quantity: '1', unit: 'L' } }, 'units-incompatible', '#/adding/unit'],
    [{ volume: pounds('7'), adding: pounds('1') }, 'units-incompatible', '#/volume/unit'],
    [{ volume: feet('7'), adding: { quantity: '1', unit: 'stone' } }, 'unknown-unit', '#/adding/unit'],
    [{ volume: feet('7'), adding: pounds('1'), held: pounds('9'.repeat(30)) }, 'invalid-input', '#/held/quantity'],
  ])('refuses %j', (input, code, pointer) => {
    expect(() => freezerLoad(input)).toThrow(
      expect.objectContaining({ code, errors: [expect.objectContaining({ pointer })] }),
    );
  });
});
