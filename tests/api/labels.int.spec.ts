import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { labelAddress, labelSheetNames, labelSheets, type LabelSheetName } from '@frostmoot/calc';
import type { freezer, kitchen, Problem } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import {
  addIngredient,
  addOffer,
  addRecipe,
  HOUSEHOLDS,
  moveOn,
  NOW,
  startRound,
  stockPantry,
} from '../builders/pantry.ts';
import { pageTexts, qrTexts, wordPlaces } from '../outside/print-tools.ts';
import { startApi, type Api } from './harness.ts';

type Kitchen = z.infer<typeof kitchen>;
type Language = 'en' | 'es' | 'ar';
/** Every allergen of Regulation (EU) No 1169/2011, annex II, some by their kinds, and one of the household's own. */
const EVERY_ALLERGEN = [
  ...['wheat', 'rye', 'barley', 'oats', 'crustacean', 'egg', 'fish', 'peanut', 'soy', 'milk', 'almond', 'hazelnut'],
  ...['walnut', 'cashew', 'pistachio', 'celery', 'mustard', 'sesame', 'sulphite', 'lupin', 'mollusc', 'other:kiwi'],
];
/** The same in words, in the order of their names in the vocabulary, a nut and a grain under their group as well. */
const EVERY_WORD =
  'Almond, Barley, Cashew, Celery, Crustaceans, Egg, Fish, Gluten, Hazelnut, Lupin, Milk, Molluscs, Mustard, Oats, kiwi, Peanut, Pistachio, Rye, Sesame, Soy, Sulphite, Tree nuts, Walnut, Wheat';
const LONG_NAME = 'Kapuśniak z kiszoną kapustą, grzybami i wędzonką — duży garnek dla wszystkich sąsiadów (na zimę)';

describe('labels', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let roundId: string;
  let batches: Kitchen['batches'];
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const everything = await addIngredient(who, path, {
      name: 'Everything',
      baseUnit: 'g',
      allergens: EVERY_ALLERGEN,
    });
    await addOffer(who, path, {
      sellerId: pantry.sellers['Mill']?.id,
      ingredientId: everything.id,
      packQuantity: '1',
      packUnit: 'kg',
      priceMinor: '100',
    });
    const recipe = (name: string, lines: object[]) =>
      addRecipe(who, path, {
        name,
        makes: { quantity: '4', unit: 'L' },
        portions: 8,
        containerPlan: [{ portions: 4, count: 2, millilitres: 2000 }],
        lines,
      });
    const long = await recipe(LONG_NAME, [{ ingredientId: everything.id, quantity: '1', unit: 'kg' }]);
    const arabic = await recipe('شوربة عدس (بالكمون)', [
      { ingredientId: pantry.ingredients['Cream']?.id, quantity: '1', unit: 'L' },
    ]);
    const round = await startRound(cooperative, { ...pantry, recipes: { ...pantry.recipes, long, arabic } });
    roundId = round.id;
    await moveOn(cooperative, roundId, 'buying');
    await who.ok('POST', `${path}/rounds/${roundId}/receipts`, {
      sellerId: pantry.sellers['Mill']?.id,
      paidByHouseholdId: cooperative.household('Birch').id,
      boughtOn: '2026-11-25',
      lines: [{ label: 'All of it', amountMinor: '9000' }],
    });
    await moveOn(cooperative, roundId, 'cooking');
    ({ batches } = await who.ok<Kitchen>('GET', `${path}/rounds/${roundId}/kitchen`));
  });
  afterAll(() => api.stop());

  const batchOf = (name: string) => {
    const batch = batches.find((each) => each.name === name);
    if (!batch) throw new Error(`There is no batch of ${name}`);
    return batch;
  };
  const labelsPath = (query: object) =>
    `${cooperative.path}/rounds/${roundId}/labels?${new URLSearchParams({ ...query }).toString()}`;
  const refusal = async (query: object) => {
    const { status, body } = await cooperative.coordinator.call<Problem>('GET', labelsPath(query));
    return { status, code: body.code, errors: body.errors };
  };
  async function pdfOf(query: object): Promise<Uint8Array> {
    const response = await fetch(`${api.url}/api${labelsPath(query)}`, {
      headers: { cookie: cooperative.coordinator.cookie },
    });
    expect([response.status, response.headers.get('content-type')]).toEqual([200, 'application/pdf']);
    expect(response.headers.get('content-disposition')).toBe('attachment; filename="frostmoot-labels-R1.pdf"');
    return new Uint8Array(await response.arrayBuffer());
  }
  const addresses = (codes: readonly string[]) =>
    codes.map((code) => labelAddress(new URL(api.config.publicUrl).origin, cooperative.id, code)).sort();

  it('are refused while nothing is sealed', async () => {
    expect(await refusal({})).toMatchObject({ status: 409, code: 'none-left' });
  });

  it('name a sheet, a language or a place that there is not', async () => {
    for (const [field, value] of Object.entries({ sheet: 'a5', language: 'de', first: '25', batchId: 'x' })) {
      const { status, errors } = await refusal({ [field]: value });
      expect([status, errors?.map(({ pointer }) => pointer)]).toEqual([400, [`#/${field}`]]);
    }
  });

  describe('when the batches are sealed', () => {
    beforeAll(async () => {
      const { coordinator: who, path } = cooperative;
      for (const { id, version, containerPlan } of batches) {
        const made = { frozenOn: '2026-11-28', containers: containerPlan };
        await who.ok('PUT', `${path}/batches/${id}/yield`, made, { ifMatch: version });
      }
    });

    // Best before: three months after the day of freezing, as the recipes of these tests say.
    it.each<[Language, string, string[]]>([
      [
        'en',
        'Mince pot',
        ['4 portions', 'Frozen on 28 Nov 2026', 'Best before 28 Feb 2027', 'Allergens: none declared'],
      ],
      ['es', 'Lentil cream', ['2 raciones', 'Congelado el 28 nov 2026', '28 feb 2027', 'Leche']],
      ['ar', 'Lentil cream', ['حصتان', '٢٨', '٢٠٢٦', '٢٠٢٧', '١٨', 'يحتوي على حليب', '٧٤', 'مدة']],
      ['ar', 'شوربة عدس (بالكمون)', ['٤', 'حصص', '٢٠٢٦', 'يحتوي على حليب']],
      ['en', 'شوربة عدس (بالكمون)', ['شوربة عدس', 'Contains Milk']],
      ['en', LONG_NAME, [`Contains ${EVERY_WORD}`]],
    ])('say in %s what is in %s', async (language, name, words) => {
      const { id, lotCode } = batchOf(name);
      const pdf = await pdfOf({ sheet: 'single-100x62', language, batchId: id });
      const [text = ''] = pageTexts(pdf);
      for (const each of [...words, `${lotCode}-1`, '3-403.11']) expect(text).toContain(each);
      for (const each of name.split(/[\s()]+/).filter((word) => word !== '')) expect(text).toContain(each);
    });

    it('name every ingredient that nobody declared anything of, or count them where there is no room', async () => {
      const { id } = batchOf('Mince pot');
      const [roomy = ''] = pageTexts(await pdfOf({ sheet: 'single-100x150', batchId: id }));
      expect(roomy).toContain('Not declared for Mince, Oil and Onions');
      expect(roomy).toContain('Not declared is not free from.');
      expect(roomy).toContain('the thermometer decides');
      const [narrow = ''] = pageTexts(await pdfOf({ sheet: 'a4-24', language: 'es', batchId: id, first: '24' }));
      expect(narrow).toMatch(/Sin declarar (para|en) /);
    });

    it.each(
      labelSheetNames.flatMap((sheet) => (['en', 'es', 'ar'] as const).map((language) => [sheet, language] as const)),
    )('have a code that reads and words inside their edges on %s in %s', async (sheet, language) => {
      const { id, lotCode } = batchOf('Lentil cream');
      const pdf = await pdfOf({ sheet, language, batchId: id });
      // Four containers of two portions and one of four.
      expect(qrTexts(pdf)).toEqual(addresses([1, 2, 3, 4, 5].map((number) => `${lotCode}-${number}`)));
      expect(outsideLabels(pdf, sheet)).toEqual([]);
    });

    it('begin at the first free place of a sheet and go on to the next sheet', async () => {
      const all = await pdfOf({ sheet: 'a4-8', first: '8' });
      const texts = pageTexts(all);
      const { batches: made } = await cooperative.coordinator.ok<Kitchen>(
        'GET',
        `${cooperative.path}/rounds/${roundId}/kitchen`,
      );
      const containers = made.flatMap(({ containers: own }) => own).reduce((sum, { count }) => sum + count, 0);
      expect(texts.length).toBe(1 + Math.ceil((containers - 1) / 8));
      expect(qrTexts(all).length).toBe(containers);
      const [first] = wordPlaces(all);
      expect(first?.left).toBeGreaterThan(105);
      expect(first?.top).toBeGreaterThan(215);
      // Nothing is cut: all that is said of the longest is there as well.
      expect(texts.join(' ')).toContain(`Contains ${EVERY_WORD}`);
    });

    it('are refused from a place that the sheet has not, as the sheet with the most places would have it', async () => {
      expect(await refusal({ sheet: 'a4-14', first: '15' })).toMatchObject({
        status: 400,
        code: 'invalid-input',
        errors: [{ pointer: '#/first', detail: 'This sheet has 14 labels only.' }],
      });
    });

    it('are refused where they would have to be cut, with the dish and the field', async () => {
      const { id } = batchOf(LONG_NAME);
      const { status, code, errors } = await refusal({ sheet: 'a4-24', language: 'es', batchId: id });
      expect({ status, code, errors }).toMatchObject({
        status: 400,
        code: 'invalid-input',
        errors: [{ pointer: '#/sheet', code: 'label-too-small', params: { dishes: LONG_NAME } }],
      });
    });

    it('say for whom once it is shared out, one household’s by themselves, and not what is eaten', async () => {
      const { coordinator: who, path } = cooperative;
      await moveOn(cooperative, roundId, 'sharing');
      const { shareOutId, version } = await who.ok<{ shareOutId: string; version: number }>(
        'POST',
        `${path}/rounds/${roundId}/share-out`,
      );
      await who.ok('POST', `${path}/share-outs/${shareOutId}/confirm`, undefined, { ifMatch: version });
      const { id: householdId } = cooperative.household('Cedar');
      const { items } = await who.ok<z.infer<typeof freezer>>('GET', `${path}/freezer?householdId=${householdId}`);
      const [first, ...rest] = items;
      if (!first) throw new Error('Cedar got nothing');
      const query = { sheet: 'single-100x62', householdId };
      const before = await pdfOf(query);
      expect(qrTexts(before)).toEqual(addresses(items.map(({ code }) => code)));
      for (const text of pageTexts(before)) expect(text).toContain('For Cedar');
      const ended = await who.call(
        'POST',
        `${path}/containers/${first.id}/end`,
        { state: 'eaten' },
        { ifMatch: first.version },
      );
      expect(ended.status).toBe(200);
      expect(qrTexts(await pdfOf(query))).toEqual(addresses(rest.map(({ code }) => code)));
    });
  });
});

/** Words that stand outside of every label of the sheet. */
function outsideLabels(pdf: Uint8Array, name: LabelSheetName) {
  const { columns, rows, ...tenths } = labelSheets[name];
  const [page, label] = [tenths.page, tenths.label].map(([width, height]) => [width / 10, height / 10] as const) as [
    readonly [number, number],
    readonly [number, number],
  ];
  const gap = tenths.gap / 10;
  const start = [(page[0] - columns * label[0] - (columns - 1) * gap) / 2, (page[1] - rows * label[1]) / 2] as const;
  return wordPlaces(pdf).filter(({ left, top, right, bottom }) => {
    const column = Math.floor((left - start[0]) / (label[0] + gap));
    const row = Math.floor((top - start[1]) / label[1]);
    const from = [start[0] + column * (label[0] + gap), start[1] + row * label[1]] as const;
    return column < 0 || row < 0 || right > from[0] + label[0] || bottom > from[1] + label[1];
  });
}
