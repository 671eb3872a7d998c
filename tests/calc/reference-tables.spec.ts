import { readFile } from 'node:fs/promises';
import { describe, expect, it } from '@jest/globals';
import { convert, densityRows, rational, yieldRows } from '@frostmoot/calc';
import { referenceTables, tablesFile } from '../../tools/reference-tables.mjs';

const { parse, toDecimal } = rational;

const table = async (name: string): Promise<Record<string, unknown>> =>
  JSON.parse(await readFile(new URL(`../../shared/reference/${name}.json`, import.meta.url), 'utf8')) as Record<
    string,
    unknown
  >;

describe('the published tables', () => {
  it('stand in calc as they stand in shared/reference', async () => {
    expect(await readFile(tablesFile, 'utf8')).toBe(await referenceTables());
  });

  it.each(['units', 'densities', 'yields'])(
    '%s name the source, the edition and how it was checked beside every number',
    async (name) => {
      const rows = (await table(name))[name] as { source?: string; edition?: string; mark?: string }[];
      expect(rows.length).toBeGreaterThan(30);
      for (const { source, edition, mark } of rows) {
        expect(source).toBeTruthy();
        expect(typeof edition).toBe('string');
        expect(mark).toMatch(/^(read|computed|memory|definition)$/);
      }
    },
  );

  it('have each item once', () => {
    for (const rows of [densityRows, yieldRows]) {
      const ids = rows.map(({ source, item }) => `${source} ${item}`);
      expect(new Set(ids).size).toBe(ids.length);
    }
  });

  // USDA National Nutrient Database for Standard Reference, Release 28 (2015), WEIGHT.txt: grams in one cup, by number of the food.
  it.each([
    ['20081', '125'],
    ['19335', '200'],
    ['01145', '227'],
    ['01077', '244'],
    ['11547', '250'],
    ['02047', '292'],
    ['16069', '192'],
  ])('a cup of food %s weighs %s g and says so', (item, grams) => {
    const result = convert({ quantity: '1', from: 'cup', to: 'g', density: { source: 'usda-sr28', item } });
    expect(result).toMatchObject({ decimal: grams, source: { id: 'usda-sr28', edition: '2015', grams } });
  });

  it('lie inside the ranges that FAO/INFOODS gives for kitchen staples (version 2.0, 2012, seen second-hand)', () => {
    const perMl = (item: string): number =>
      Number(convert({ quantity: '1', from: 'mL', to: 'g', density: { source: 'usda-sr28', item } }).decimal);
    for (const [item, least, most] of [
      ['flour-all-purpose', 0.48, 0.67],
      ['sugar-granulated', 0.7, 0.95],
      ['rice-white-long-raw', 0.72, 0.85],
      ['salt', 1.22, 1.38],
      ['milk-whole', 1.02, 1.05],
    ] as const) {
      expect(perMl(item)).toBeGreaterThanOrEqual(least);
      expect(perMl(item)).toBeLessThanOrEqual(most);
    }
  });

  it('disagree as the sources do, which is why they are never mixed: potato .81 and .75', () => {
    const part = (source: string, item: string): string => {
      const row = yieldRows.find((each) => each.source === source && each.item === item);
      if (row?.refusePercent)
        return toDecimal(rational.sub(parse('1'), rational.div(parse(row.refusePercent), parse('100'))), 2);
      return toDecimal(rational.div(parse('1'), parse(row?.asPurchasedPerEdible ?? '0')), 2);
    };
    expect([part('afrs', 'potato-white'), part('usda-sr28', 'potato')]).toEqual(['0.81', '0.75']);
    expect([part('afrs', 'cauliflower'), part('usda-sr28', 'cauliflower')]).toEqual(['0.83', '0.39']);
  });
});
