import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import {
  addIngredient,
  addOffer,
  addRecipe,
  DATES,
  NOW,
  quality,
  startRound,
  stockPantry,
  type Pantry,
} from '../builders/pantry.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { broken } from './books.ts';
import { startApi, type Api, type Client } from './harness.ts';

describe('input that is odd but in form', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let who: Client;
  let path: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());
  beforeEach(async () => {
    cooperative = await buildCooperative(api);
    ({ coordinator: who, path } = cooperative);
  });
  afterEach(async () => {
    expect(await broken(api)).toEqual([]);
  });

  const id = (name: string) => cooperative.household(name).id;
  const pay = (fields: object) =>
    who.call('POST', `${path}/payments`, {
      fromHouseholdId: id('Alder'),
      toHouseholdId: id('Birch'),
      amountMinor: '100',
      on: '2026-11-28',
      ...fields,
    });

  it('takes an id in capitals for the same id (RFC 9562, section 4)', async () => {
    expect((await pay({ toHouseholdId: id('Birch').toUpperCase() })).status).toBe(201);
    expect(await pay({ toHouseholdId: id('Alder').toUpperCase() })).toMatchObject({ status: 400 });
    const round = await buildSharedRound(api, cooperative, {
      dishes: [{ name: 'Stew', containers: [4, 4, 4] }],
      participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '1' })),
    });
    const swap = (fields: object) =>
      who.call('POST', `${path}/swaps`, {
        fromHouseholdId: id('Alder'),
        toHouseholdId: id('Birch'),
        giveContainerIds: [round.of('Alder')[0]!.id],
        getContainerIds: [round.of('Birch')[0]!.id],
        ...fields,
      });
    expect((await swap({ toHouseholdId: id('Alder').toUpperCase() })).status).toBe(400);
    expect((await swap({ getContainerIds: [round.of('Birch')[0]!.id.toUpperCase()] })).status).toBe(201);
    expect((await who.call('GET', `${path}/households/${id('Birch').toUpperCase()}`)).status).toBe(200);
  });

  it.each([
    ['a nil character', 'a\u0000b'],
    ['half of a character pair', 'a\ud800b'],
  ])('refuses text with %s and writes nothing', async (_, text) => {
    expect(await pay({ note: text })).toMatchObject({ status: 400, body: { code: 'invalid-input' } });
    expect(await who.call('POST', `${path}/ingredients`, { name: text, baseUnit: 'g' })).toMatchObject({ status: 400 });
    expect(await who.call('POST', `${path}/households`, { name: text })).toMatchObject({ status: 400 });
    expect((await who.call('GET', `${path}/recipes?search=${encodeURIComponent('a\u0000')}`)).status).toBeLessThan(500);
    expect((await who.ok<{ items: unknown[] }>('GET', `${path}/ingredients`)).items).toEqual([]);
    expect(await who.call('POST', `/sign-in`, { email: 'a@example.org', password: text })).toMatchObject({
      status: 400,
    });
  });

  it('refuses the year 0, which the calendar of dates does not have, and lives with the year 9999', async () => {
    expect((await pay({ on: '0000-01-01' })).status).toBe(400);
    expect((await pay({ on: '0001-01-01' })).status).toBe(201);
    const late = Object.fromEntries(Object.keys(DATES).map((key) => [key, '9999-12-31']));
    const round = await who.call('POST', `${path}/rounds`, { ...late, dinners: 1 });
    expect([round.status, round.text.slice(0, 300)]).toEqual([201, expect.anything()]);
    expect((await who.call('GET', `${path}/this-week`)).status).toBe(200);
    expect((await who.call('POST', `${path}/rounds`, { ...DATES, planUntil: '0000-01-01', dinners: 1 })).status).toBe(
      400,
    );
    const shared = await buildSharedRound(api, cooperative, {
      number: 2,
      swapUntil: '2026-12-30',
      dishes: [{ name: 'Stew', containers: [4, 4, 4] }],
      participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '1' })),
    });
    expect(shared.containers.length).toBe(3);
  });

  it('keeps answering when the greatest amounts add up', async () => {
    expect(await pay({ amountMinor: '1000000000000' })).toMatchObject({ status: 400 });
    for (let time = 0; time < 12; time += 1) expect((await pay({ amountMinor: '999999999999' })).status).toBe(201);
    const books = await who.ok<{ households: { moneyMinor: string }[] }>('GET', `${path}/accounts`);
    expect(books.households.map(({ moneyMinor }) => moneyMinor)).toContain('11999999999988');
    expect((await who.call('GET', `${path}/accounts/${id('Alder')}/statement?book=money`)).status).toBe(200);
    expect((await who.call('GET', `${path}/this-week`)).status).toBe(200);
  });

  it('refuses weights of more digits than anybody means', async () => {
    const weight = '1/9999999999999999999999999999';
    const own = { name: 'Fir', ownWeight: weight };
    expect(await who.call('POST', `${path}/households`, own)).toMatchObject({ status: 400 });
    expect(await who.call('PATCH', path, { childWeight: weight }, { ifMatch: 1 })).toMatchObject({ status: 400 });
  });

  describe('quantities', () => {
    let pantry: Pantry;
    beforeEach(async () => {
      pantry = await stockPantry(cooperative);
    });

    it.each([
      ['huge', '999999999999999999999999999999'],
      ['tiny', '0.0000000000000000000000000001'],
      ['odd', '1234567890123/9876543210987'],
    ])('%s ones do not stop a round from being read', async (name, quantity) => {
      const lines = [{ ingredientId: pantry.ingredients['Onions']!.id, quantity, unit: 'kg' }];
      const made = await who.call<{ id: string }>('POST', `${path}/recipes`, {
        ...quality,
        name,
        makes: { quantity: '7', unit: 'L' },
        portions: 3,
        containerPlan: [{ portions: 3, count: 1, millilitres: null }],
        lines,
      });
      expect([201, 400]).toContain(made.status);
      if (made.status !== 201) return;
      const round = await startRound(cooperative, pantry);
      const dishes = await who.call<{ version: number }>(
        'PUT',
        `${path}/rounds/${round.id}/dishes`,
        { dishes: [{ recipeId: made.body.id, batches: 50 }] },
        { ifMatch: round.version },
      );
      expect([dishes.status, dishes.text.slice(0, 300)]).toEqual([200, expect.anything()]);
      const [whole, list] = [
        await who.call('GET', `${path}/rounds/${round.id}`),
        await who.call('GET', `${path}/rounds/${round.id}/buying`),
      ];
      expect([whole.status, list.status]).toEqual([200, 200]);
      expect((await who.call('GET', `${path}/recipes/${made.body.id}`)).status).toBe(200);
      expect((await who.call('GET', `${path}/recipes/${made.body.id}/scaled?portions=7/3`)).status).toBeLessThan(500);
      const move = await who.call(
        'POST',
        `${path}/rounds/${round.id}/stage`,
        { to: 'buying' },
        { ifMatch: dishes.body.version },
      );
      expect(move.status).toBeLessThan(500);
    });

    it('a pack of which nobody could buy enough is no offer', async () => {
      const gold = await addIngredient(who, path, { name: 'Gold leaf', baseUnit: 'g' });
      await addOffer(who, path, {
        sellerId: pantry.sellers['Mill']!.id,
        ingredientId: gold.id,
        packQuantity: '0.000001',
        packUnit: 'g',
        priceMinor: '999999999999',
      });
      const recipe = await addRecipe(who, path, {
        name: 'Gold soup',
        makes: { quantity: '7', unit: 'L' },
        portions: 3,
        containerPlan: [{ portions: 3, count: 1, millilitres: null }],
        lines: [{ ingredientId: gold.id, quantity: '900', unit: 'kg' }],
      });
      const round = await startRound(cooperative, { ...pantry, recipes: { soup: recipe } });
      expect(round.openPoints).toContainEqual(expect.objectContaining({ code: 'no-offer', blocks: true }));
      const { missing } = await who.ok<{ missing: unknown[] }>('GET', `${path}/rounds/${round.id}/buying`);
      expect(missing).toMatchObject([{ ingredient: { id: gold.id } }]);
    });
  });
});
