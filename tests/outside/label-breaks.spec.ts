import { beforeAll, describe, expect, it } from '@jest/globals';
import { fileURLToPath } from 'node:url';
import type { LabelSheetName } from '@frostmoot/calc';
import { labelPdf, type LabelOrder } from '../../apps/api/src/kitchen/label-pdf.ts';
import { LabelWords } from '../../apps/api/src/kitchen/label-words.ts';
import type { Config } from '../../apps/api/src/platform/config/config.ts';
import { Catalogue, type Language } from '../../apps/api/src/platform/words/catalogue.ts';
import { pageTexts, qrTexts } from './print-tools.ts';

const ADDRESS = 'HTTPS://EXAMPLE.ORG/L/0123ABCD/R1-A1-1';
const FACTS = {
  ...{ code: 'R1-A1-1', portions: 4, frozenOn: '2026-11-28', bestBefore: '2027-02-28' },
  ...{ allergens: ['milk'], notDeclared: [], household: null, address: ADDRESS },
};
const ORDER: Omit<LabelOrder, 'sheet' | 'language'> = { title: 'labels', first: 1, madeAt: new Date(0) };
/** Fourteen letters each; the Arabic one has no ligature, which Poppler would turn round. */
const [LATIN, ARABIC] = ['Ratatouillesud', 'فسيستكتبونهمان'];

describe('a label', () => {
  let words: LabelWords;
  beforeAll(() => {
    const messagesDir = fileURLToPath(new URL('../../apps/web/src/lib/messages', import.meta.url));
    words = new LabelWords(new Catalogue({ messagesDir } as Config));
  });
  const printed = (dish: string, sheet: LabelSheetName, language: Language) =>
    labelPdf([{ dish, texts: words.texts({ ...FACTS, dish }, language), address: ADDRESS }], {
      ...ORDER,
      sheet,
      language,
    });

  it.each<[string, Language]>([
    [LATIN, 'en'],
    [LATIN, 'es'],
    [ARABIC, 'ar'],
  ])('has the word %s whole in %s, in smaller type', async (dish, language) => {
    const pdf = await printed(dish, 'single-100x150', language);
    expect(pageTexts(pdf)[0]).toContain(dish);
    expect(qrTexts(pdf)).toEqual([ADDRESS]);
  });

  it.each<[Language, string]>([
    ['en', LATIN.repeat(6)],
    ['ar', ARABIC.repeat(6)],
    ['ar', '٠١٢٣٤٥٦٧٨٩'.repeat(6)],
  ])('breaks in %s what is too long for any line, and cuts or turns round nothing of %s', async (language, dish) => {
    const [text = ''] = pageTexts(await printed(dish, 'single-100x62', language));
    expect(text.replaceAll(' ', '')).toContain(dish);
  });
});
