import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { Problem, roundList } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { addIngredient, addOffer, addRecipe, DATES, HOUSEHOLDS, moveOn, NOW, quality } from '../builders/pantry.ts';
import { startRound, stockPantry, type Pantry, type RoundAnswer } from '../builders/pantry.ts';
import { startApi, type Api, type Client } from './harness.ts';

describe('a round that is planned', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
  let who: Client;
  let path: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    ({ coordinator: who, path } = cooperative);
    pantry = await stockPantry(cooperative);
  });
  afterAll(() => api.stop());

  const read = (id: string): Promise<RoundAnswer> => who.ok('GET', `${path}/rounds/${id}`);
  const recipeId = (name: string): string => pantry.recipes[name]?.id ?? '';
  const fault = ({ status, body }: { status: number; body: Problem }) => [
    status,
    body.code,
    ...(body.errors ?? []).map(({ pointer }) => pointer),
  ];
  const codes = ({ openPoints }: RoundAnswer): string[] => openPoints.map(({ code }) => code);

  it('copies who eats at its start, and adds up', async () => {
    const round = await startRound(cooperative, pantry);
    expect(round).toMatchObject({
      number: 1,
      stage: 'planning',
      headcount: 8,
      totalWeight: '13/2',
      portionsPlanned: 48,
    });
    // 13/2 x 8 dinners.
    expect(round.portionsWanted).toBe('52');
    expect(
      round.participants.map((each) => [each.household.name, each.weight, each.diners, each.portionsWanted]),
    ).toEqual([
      ['Alder', '2', 2, '16'],
      ['Birch', '2', 3, '16'],
      ['Cedar', '5/2', 3, '20'],
    ]);
    // 5 x 2000 + 4 x 2000 + 4 x 1000 + 2000 mL.
    expect([round.freezerNeededMl, round.freezerFreeMl]).toEqual([24_000, 110_000]);
  });

  it('costs whole packs of the cheapest offers and the sellers’ fees', async () => {
    const { costMinor, costPerPortionMinor, dishes } = await startRound(cooperative, pantry);
    // Base 10 + 4 + 3 = 17 L: tomatoes 17 kg as purchased -> 7 packs at 379 (a crate, 1517, is dearer than four of them); onions 1.7 kg -> one pack of 2 kg at 185
    // (two at 95 would be 190); oil 340 + 90 / 0.9 = 440 mL -> 460; mince 2592; lentils 3 x 170; cream 2 x 120; fee 250.
    const total = 7 * 379 + 185 + 460 + 2592 + 3 * 170 + 2 * 120 + 250;
    expect(costMinor).toBe(`${total}`);
    // 6890 / 48
    expect(costPerPortionMinor).toBe('3445/24');
    const part = (base: number, oilMl: number, own: number, portions: number): number =>
      (2653 * base) / 17 + (185 * base) / 17 + (460 * oilMl) / 440 + own + (250 * portions) / 48;
    const expected = [part(10, 200, 0, 20), part(4, 180, 2592, 16), part(3, 60, 750, 12)];
    dishes.forEach((dish, index) => {
      expect(Math.abs(Number(dish.costMinor) - (expected[index] ?? 0))).toBeLessThan(1);
      const [n = '0', d = '1'] = (dish.costPerPortionMinor ?? '').split('/');
      expect(Number(n) / Number(d)).toBeCloseTo((expected[index] ?? 0) / dish.portions, 6);
    });
    expect(dishes.reduce((sum, dish) => sum + Number(dish.costMinor), 0)).toBe(total);
  });

  it('says what does not add up with numbers and a remedy that can be pressed', async () => {
    const round = await startRound(cooperative, pantry);
    expect(codes(round)).toEqual(['portions-short', 'no-kitchen']);
    expect(round.next).toBe('buying');
    const [short] = round.openPoints;
    expect(short).toMatchObject({ blocks: false, facts: { wanted: '52', planned: 48, short: '4' } });
    // One batch more of the base: 27 kg of tomatoes are 11 packs at 379 (4169); onions 2.7 kg: 3 x 95 against 2 x 185; oil 640 mL: 2 bottles.
    const more = 11 * 379 - 2653 + (285 - 185) + 460;
    expect(short?.remedy).toEqual({
      kind: 'add-batch',
      facts: {
        dishId: round.dishes[2]?.id,
        recipeId: recipeId('Lentil cream'),
        dish: 'Lentil cream',
        batches: 1,
        portions: 12,
        // 20 kg of tomatoes: 8 x 379; onions 2 kg stay one pack; oil 500 mL is one bottle; lentils 6; cream 4.
        costMinor: `${8 * 379 - 2653 + 3 * 170 + 2 * 120}`,
      },
    });
    expect(8 * 379 - 2653 + 510 + 240).toBeLessThan(more);
  });

  it('starts without a dish and says how many portions are wanted', async () => {
    const empty = await who.ok<RoundAnswer>('POST', `${path}/rounds`, { ...DATES, dinners: 8 });
    expect(empty.openPoints[0]).toEqual({ code: 'no-dish', blocks: true, facts: { wanted: '52' }, remedy: null });
    expect([empty.costMinor, empty.next]).toEqual([null, null]);
    const answer = await who.call<Problem>(
      'POST',
      `${path}/rounds/${empty.id}/stage`,
      { to: 'buying' },
      { ifMatch: 1 },
    );
    expect(fault(answer)).toEqual([409, 'round-not-ready', '#/to']);
    expect(answer.body.errors?.[0]?.code).toBe('no-dish');
    const far = await who.call<Problem>('POST', `${path}/rounds/${empty.id}/stage`, { to: 'cooking' }, { ifMatch: 1 });
    expect(fault(far)).toEqual([409, 'round-stage', '#/to']);
  });

  it('refuses dates out of order, each at its place', async () => {
    const body = { ...DATES, buyOn: '2026-11-19', settleOn: '2026-12-01', dinners: 8 };
    expect(fault(await who.call('POST', `${path}/rounds`, body))).toEqual([
      400,
      'invalid-input',
      '#/buyOn',
      '#/settleOn',
    ]);
    const cooks = { ...DATES, dinners: 8, cookHouseholdIds: [cooperative.household('Birch').id] };
    expect(fault(await who.call('POST', `${path}/rounds`, cooks))).toEqual([
      400,
      'invalid-input',
      '#/kitchenHouseholdId',
    ]);
  });

  it('takes in the newest version of a dish, keeps its place, and refuses what is no dish', async () => {
    const round = await startRound(cooperative, pantry);
    const change = (dishes: unknown, ifMatch: number) =>
      who.call<RoundAnswer & Problem>('PUT', `${path}/rounds/${round.id}/dishes`, { dishes }, { ifMatch });
    const component = await addRecipe(who, path, {
      ...quality,
      name: `Crumb ${round.number}`,
      makes: { quantity: '1', unit: 'kg' },
      lines: [{ ingredientId: pantry.ingredients['Lentils']?.id, quantity: '1', unit: 'kg' }],
    });
    const wrong = [
      { recipeId: recipeId('Red base'), batches: 1 },
      { recipeId: component.id, batches: 1 },
      { recipeId: recipeId('Red base'), batches: 2 },
      { recipeId: round.id, batches: 1 },
    ];
    expect(fault(await change(wrong, round.version))).toEqual([
      400,
      'invalid-input',
      '#/dishes/1/recipeId',
      '#/dishes/2/recipeId',
      '#/dishes/3/recipeId',
    ]);
    const kept = [
      { recipeId: recipeId('Lentil cream'), batches: 2 },
      { recipeId: recipeId('Mince pot'), batches: 1 },
    ];
    expect((await change(kept, round.version + 1)).status).toBe(412);
    const { body } = await change(kept, round.version);
    expect(body.dishes.map(({ name, batches }) => [name, batches])).toEqual([
      ['Mince pot', 1],
      ['Lentil cream', 2],
    ]);
    expect(body.dishes.map(({ id }) => id)).toEqual(round.dishes.slice(1).map(({ id }) => id));
    expect(body.version).toBe(round.version + 1);
  });

  it('waits for an offer of every ingredient', async () => {
    const saffron = await addIngredient(who, path, { name: 'Saffron', baseUnit: 'g' });
    const rice = await addRecipe(who, path, {
      name: 'Yellow rice',
      makes: { quantity: '1', unit: 'kg' },
      portions: 60,
      containerPlan: [{ portions: 6, count: 10 }],
      lines: [{ ingredientId: saffron.id, quantity: '2', unit: 'g' }],
    });
    const { id, version } = await startRound(cooperative, pantry);
    const dishes = [{ recipeId: rice.id, batches: 1 }];
    const round = await who.ok<RoundAnswer>('PUT', `${path}/rounds/${id}/dishes`, { dishes }, { ifMatch: version });
    expect(round).toMatchObject({ costMinor: null, next: null });
    expect(round.dishes[0]?.costMinor).toBeNull();
    expect(round.openPoints[0]).toEqual({
      code: 'no-offer',
      blocks: true,
      facts: { ingredientId: saffron.id, ingredient: 'Saffron', needed: '2', unit: 'g' },
      remedy: { kind: 'add-offer', facts: { ingredientId: saffron.id } },
    });
    // A price from the day after buying is none for this round; one from that day is.
    const pack = { sellerId: pantry.sellers['Cart']?.id, ingredientId: saffron.id, packQuantity: '1', packUnit: 'g' };
    await addOffer(who, path, { ...pack, priceMinor: '700', validFrom: '2026-11-27' });
    expect(codes(await read(id))).toContain('no-offer');
    await addOffer(who, path, { ...pack, priceMinor: '900', validFrom: DATES.buyOn });
    expect(await read(id)).toMatchObject({ costMinor: '1800', costPerPortionMinor: '30', next: 'buying' });
    // A price typed wrong is put right by another from the same day.
    await addOffer(who, path, { ...pack, priceMinor: '800', validFrom: DATES.buyOn });
    expect((await read(id)).costMinor).toBe('1600');
  });

  it('takes a household in from a day on, counts another otherwise, and lets one leave', async () => {
    const round = await startRound(cooperative, pantry);
    const change = (householdId: string, more: object) =>
      who.call<RoundAnswer & Problem>('POST', `${path}/rounds/${round.id}/participants`, {
        householdId,
        reason: 'Said so',
        ...more,
      });
    const { id: birch } = cooperative.household('Birch');
    const { id: alder } = cooperative.household('Alder');
    const after = (await change(birch, { fromDate: '2026-11-25', weight: '7/2' })).body;
    expect(after).toMatchObject({ totalWeight: '8', portionsWanted: '64', version: round.version + 1 });
    expect(after.participants[1]).toMatchObject({ weight: '7/2', earlier: [{ fromDate: '2026-11-20', weight: '2' }] });
    const left = (await change(alder, { fromDate: '2026-11-27', weight: '0' })).body;
    expect(left).toMatchObject({ totalWeight: '6', headcount: 6 });
    // Only later than the share-out: still counted.
    const later = (await change(cooperative.household('Cedar').id, { fromDate: '2026-12-01', weight: '0' })).body;
    expect(later.totalWeight).toBe('6');
    expect(fault(await change(birch, { fromDate: '2026-11-25', weight: '1' }))).toEqual([409, 'conflict']);
    expect(fault(await change(birch, { fromDate: '2026-11-01' }))).toEqual([400, 'invalid-input', '#/fromDate']);
    expect(fault(await change(birch, { fromDate: '2026-11-26', weight: '-1' }))).toEqual([
      400,
      'invalid-input',
      '#/weight',
    ]);
    expect(fault(await change(round.id, { fromDate: '2026-11-26' }))).toEqual([400, 'invalid-input', '#/householdId']);
  });

  it('says when no dish suits a household, but not to everybody', async () => {
    const { id, version } = await startRound(cooperative, pantry);
    const dishes = [{ recipeId: recipeId('Mince pot'), batches: 4 }];
    const round = await who.ok<RoundAnswer>('PUT', `${path}/rounds/${id}/dishes`, { dishes }, { ifMatch: version });
    const point = { code: 'nothing-fit', blocks: false, facts: { household: 'Cedar' } };
    expect(round.openPoints).toContainEqual(
      expect.objectContaining({ ...point, facts: expect.objectContaining(point.facts) }),
    );
    const seen = async (name: string) =>
      codes(await cooperative.household(name).client.ok<RoundAnswer>('GET', `${path}/rounds/${id}`));
    expect(await seen('Cedar')).toContain('nothing-fit');
    expect(await seen('Birch')).not.toContain('nothing-fit');
  });

  it('warns when the freezers are too small', async () => {
    const { id, version } = await startRound(cooperative, pantry);
    const dishes = [{ recipeId: recipeId('Red base'), batches: 12 }];
    const { openPoints } = await who.ok<RoundAnswer>(
      'PUT',
      `${path}/rounds/${id}/dishes`,
      { dishes },
      { ifMatch: version },
    );
    expect(openPoints.find(({ code }) => code === 'freezer-short')).toEqual({
      code: 'freezer-short',
      blocks: false,
      facts: { neededMl: 120_000, freeMl: 110_000, shortMl: 10_000 },
      remedy: null,
    });
  });

  it('sets and changes a cook day', async () => {
    const [alder, birch, cedar] = cooperative.households.map(({ id }) => id);
    const started = { kitchenHouseholdId: birch, cookHouseholdIds: [birch, cedar] };
    const round = await who.ok<RoundAnswer>('POST', `${path}/rounds`, { ...DATES, dinners: 8, ...started });
    const shown = ({ cookDays }: RoundAnswer) =>
      cookDays.map((day) => [
        day.date,
        day.startsAt,
        day.kitchen.name,
        day.turns.map(({ household }) => household.name),
      ]);
    expect(shown(round)).toEqual([['2026-11-28', '09:00', 'Birch', ['Birch', 'Cedar']]]);
    const save = (more: object) =>
      who.call<RoundAnswer & Problem>('PUT', `${path}/rounds/${round.id}/cook-days`, {
        date: '2026-11-28',
        startsAt: '10:15',
        kitchenHouseholdId: cedar,
        householdIds: [alder, cedar, alder],
        ...more,
      });
    expect(shown((await save({})).body)).toEqual([['2026-11-28', '10:15', 'Cedar', ['Alder', 'Cedar']]]);
    expect((await save({ date: '2026-11-27' })).body.cookDays).toHaveLength(2);
    expect(fault(await save({ date: '2027-01-01' }))).toEqual([400, 'invalid-input', '#/date']);
    expect(fault(await save({ householdIds: [alder, round.id] }))).toEqual([400, 'invalid-input', '#/householdIds/1']);
  });

  it('writes down what to buy when it moves on, once, and then keeps its dishes', async () => {
    const round = await startRound(cooperative, pantry);
    const at = `${path}/rounds/${round.id}/stage`;
    const move = () => who.call<RoundAnswer & Problem>('POST', at, { to: 'buying' }, { ifMatch: round.version });
    const answers = await Promise.all([move(), move(), move()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 409, 409]);
    expect((await read(round.id)).stage).toBe('buying');
    const late = await who.call<Problem>('PUT', `${path}/rounds/${round.id}/dishes`, { dishes: [] }, { ifMatch: 4 });
    expect(fault(late)).toEqual([409, 'round-stage']);
    // Prices that come later change nothing of what was set out to buy.
    const tray = { sellerId: pantry.sellers['Cart']?.id, ingredientId: pantry.ingredients['Mince']?.id };
    await addOffer(who, path, {
      ...tray,
      packQuantity: '5',
      packUnit: 'kg',
      priceMinor: '100',
      validFrom: '2026-11-02',
    });
    expect((await read(round.id)).costMinor).toBe(round.costMinor);
    const blocked = await who.call<Problem>('POST', at, { to: 'cooking' }, { ifMatch: round.version + 1 });
    expect([fault(blocked), blocked.body.errors?.[0]?.code]).toEqual([[409, 'round-not-ready', '#/to'], 'no-receipt']);
  });

  it('lets only the coordinator start and move rounds, and shows them to the others', async () => {
    const { client } = cooperative.household('Birch');
    expect((await client.call('POST', `${path}/rounds`, { ...DATES, dinners: 8 })).status).toBe(403);
    const { items } = await client.ok<z.infer<typeof roundList>>('GET', `${path}/rounds`);
    expect(items.map(({ number }) => number)).toEqual([...items.keys()].map((index) => items.length - index));
    const [latest] = items;
    expect(
      (await client.call('POST', `${path}/rounds/${latest?.id}/stage`, { to: 'cooking' }, { ifMatch: 3 })).status,
    ).toBe(403);
    expect(await moveOn(cooperative, (await startRound(cooperative, pantry)).id, 'buying')).toMatchObject({
      stage: 'buying',
    });
  });

  it('starts no round when nobody eats', async () => {
    const empty = await buildCooperative(api, { households: [{ name: 'Nobody', diners: [] }] });
    const body = { ...DATES, dinners: 8 };
    expect(fault(await empty.coordinator.call('POST', `${empty.path}/rounds`, body))).toEqual([
      422,
      'participant-missing',
    ]);
    expect((await empty.coordinator.ok<{ items: [] }>('GET', `${empty.path}/rounds`)).items).toEqual([]);
  });
});
