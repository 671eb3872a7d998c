import { afterAll, afterEach, beforeAll, describe, expect, it } from '@jest/globals';
import type { householdKitchen, kitchen, Problem, runSheet } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { workOutRunSheet } from '../builders/jobs.ts';
import { addRecipe, HOUSEHOLDS, moveOn, NOW, startRound, stockPantry } from '../builders/pantry.ts';
import { broken } from './books.ts';
import { startApi, type Api, type Client } from './harness.ts';

type RunSheet = z.infer<typeof runSheet>;
type Kitchen = z.infer<typeof kitchen>;
type HouseholdKitchen = z.infer<typeof householdKitchen>;

const step = (words: string, activeMinutes: number, passiveMinutes: number, more: object = {}) => ({
  words,
  activeMinutes,
  passiveMinutes,
  ...more,
});

describe('the run sheet of a cook day', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let who: Client;
  let path: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());
  afterEach(async () => {
    api.config.now = NOW;
    expect(await broken(api)).toEqual([]);
  });

  /** A base that a pie is made of, cooked by Alder and Birch in Alder's kitchen at 09:00 in Madrid. */
  async function cookDay(to: 'planning' | 'cooking' = 'cooking'): Promise<{ roundId: string; day: string }> {
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    ({ coordinator: who, path } = cooperative);
    const pantry = await stockPantry(cooperative);
    const onions = { ingredientId: pantry.ingredients['Onions']?.id, quantity: '1', unit: 'kg' };
    const sauce = await addRecipe(who, path, {
      name: 'Sauce',
      makes: { quantity: '10', unit: 'L' },
      potLitres: '10',
      lines: [onions],
      steps: [
        step('Chop', 30, 0),
        step('Simmer', 15, 60, { place: 'hob' }),
        step('Cool', 10, 90, { place: 'cooling' }),
      ],
    });
    const pie = await addRecipe(who, path, {
      name: 'Pie',
      makes: { quantity: '12', unit: 'each' },
      portions: 12,
      containerPlan: [{ portions: 4, count: 3 }],
      lines: [{ componentVersionId: sauce.current.id, quantity: '4', unit: 'L' }],
      steps: [
        step('Dough', 20, 45, { thawKilograms: '3' }),
        step('Fill', 30, 0, { hands: 2, base: true }),
        step('Bake', 5, 30, { place: 'oven' }),
      ],
    });
    const [alder, birch] = cooperative.households.map(({ id }) => id);
    const round = await startRound(
      cooperative,
      { ...pantry, recipes: { Pie: pie } },
      { kitchenHouseholdId: alder, cookHouseholdIds: [alder, birch] },
    );
    if (to === 'cooking') {
      await moveOn(cooperative, round.id, 'buying');
      await who.ok('POST', `${path}/rounds/${round.id}/receipts`, {
        sellerId: pantry.sellers['Mill']?.id,
        paidByHouseholdId: birch,
        boughtOn: '2026-11-26',
        lines: [{ label: 'Everything', amountMinor: '9000' }],
      });
      await moveOn(cooperative, round.id, 'cooking');
    }
    const { cookDays } = await who.ok<Kitchen>('GET', `${path}/rounds/${round.id}/kitchen`);
    return { roundId: round.id, day: cookDays[0]?.id ?? '' };
  }
  const read = (day: string): Promise<RunSheet> => who.ok('GET', `${path}/cook-days/${day}/run-sheet`);
  const workOut = (day: string, body: object = {}): Promise<RunSheet> => workOutRunSheet(who, path, day, body);
  const enter = (day: string, body: object) =>
    who.call<RunSheet & Problem>('POST', `${path}/cook-days/${day}/steps-done`, body);
  const keyOf = (sheet: RunSheet, words: string): string => {
    const found = sheet.sheet?.steps.find((each) => each.words === words);
    if (!found) throw new Error(`There is no step "${words}"`);
    return found.key;
  };

  it('is worked out from what is made, who cooks and what the kitchen has', async () => {
    const { day } = await cookDay();
    const before = await read(day);
    expect([before.sheet, before.startsAt]).toEqual([null, '2026-11-28T08:00:00.000Z']);
    expect(before.makings.map(({ name, lotCode, steps }) => [name, lotCode, steps])).toEqual([
      ['Sauce', null, 3],
      ['Pie', 'R1-A1', 3],
    ]);
    expect(before.kitchen).toMatchObject({ hobs: 4, ovens: 1, potsLitres: [], isSaid: false });
    expect(before.people.map(({ household }) => household?.name)).toEqual(['Alder', 'Birch']);
    const { sheet } = await workOut(day);
    // By hand: chop, simmer, fill, bake are 30 + 75 + 30 + 35 = 170 minutes; what cools by itself is over at 30 + 75 + 10 + 90 = 205, or later when both fill first.
    expect(sheet).toMatchObject({ proof: 'optimal', minutes: 205, atLeast: 205, isCurrent: true });
    const fill = sheet?.steps.find(({ words }) => words === 'Fill');
    const simmer = sheet?.steps.find(({ words }) => words === 'Simmer');
    expect(fill).toMatchObject({ people: [1, 2], active: 30, passive: 0 });
    expect(fill?.after).toContain(simmer?.key);
    // USDA FSIS: 24 hours in the refrigerator for each 5 lb (2.27 kg); 3 kg count as two days.
    expect(sheet?.leads).toMatchObject([
      { kilograms: '3', end: sheet?.steps.find(({ words }) => words === 'Dough')?.start },
    ]);
    expect((sheet?.leads[0]?.end ?? 0) - (sheet?.leads[0]?.start ?? 0)).toBe(2880);
  });

  it('says what the kitchen lacks and plans with what there is', async () => {
    const { day } = await cookDay();
    const alder = `${path}/households/${cooperative.household('Alder').id}/kitchen`;
    const { version } = await who.ok<HouseholdKitchen>('GET', alder);
    const kept = await who.ok<HouseholdKitchen>(
      'PUT',
      alder,
      { hobs: 1, ovens: 0, potsLitres: ['3.5', '8'], benchPeople: 1 },
      { ifMatch: version },
    );
    expect(kept).toMatchObject({ hobs: 1, ovens: 0, potsLitres: ['8', '7/2'], benchPeople: 1, version: version + 1 });
    const { lacks, sheet, people } = await workOut(day);
    expect(people.length).toBe(1);
    expect(lacks.map(({ code, needed, there }) => [code, needed, there])).toEqual([
      ['pot-too-small', '10', '8'],
      ['too-few-hands', '2', '1'],
      ['no-oven', '1', '0'],
    ]);
    expect(sheet?.steps.find(({ words }) => words === 'Simmer')).toMatchObject({ potLitres: '8', hobs: [1] });
    const stale = await who.call<Problem>(
      'PUT',
      alder,
      { hobs: 2, ovens: 1, potsLitres: [], benchPeople: null },
      { ifMatch: version },
    );
    expect([stale.status, stale.body.code]).toEqual([412, 'precondition-failed']);
    const birch = cooperative.household('Birch').client;
    const foreign = await birch.call<Problem>(
      'PUT',
      alder,
      { hobs: 2, ovens: 1, potsLitres: [], benchPeople: null },
      { ifMatch: version + 1 },
    );
    expect([foreign.status, foreign.body.code]).toEqual([403, 'forbidden']);
  });

  it('tells that the team has changed since, and keeps how many cook', async () => {
    const { roundId, day } = await cookDay();
    await workOut(day);
    await who.ok('PUT', `${path}/rounds/${roundId}/cook-days`, {
      date: '2026-11-28',
      startsAt: '10:00',
      kitchenHouseholdId: cooperative.household('Alder').id,
      householdIds: [cooperative.household('Cedar').id],
    });
    const changed = await read(day);
    expect([changed.sheet?.isCurrent, changed.people.length]).toEqual([false, 1]);
    const three = await workOut(day, { people: 3 });
    expect(three.people.map(({ household, place }) => [household?.name, place])).toEqual([
      ['Cedar', 1],
      ['Cedar', 2],
      ['Cedar', 3],
    ]);
    expect([three.sheet?.isCurrent, (await workOut(day)).people.length]).toEqual([true, 3]);
    expect((await workOut(day, { people: null })).people.length).toBe(1);
  });

  it('takes steps done at their own time, and taken back, whatever the order in which they arrive', async () => {
    const { day } = await cookDay();
    const sheet = await workOut(day);
    const chop = keyOf(sheet, 'Chop');
    const back = await enter(day, { step: chop, act: 'taken-back', at: '2026-11-28T08:40:00.000Z' });
    expect([back.status, back.body.done]).toEqual([201, []]);
    await enter(day, { step: chop, act: 'done', at: '2026-11-28T08:31:00.000Z' });
    expect((await read(day)).done).toEqual([]);
    await enter(day, { step: chop, act: 'done', at: '2026-11-28T08:45:00.000Z' });
    expect((await read(day)).done).toMatchObject([{ key: chop, at: '2026-11-28T08:45:00.000Z' }]);
    const faults = await Promise.all([
      enter(day, { step: chop, act: 'done', at: '2026-11-28T10:06:00.000Z' }),
      enter(day, { step: chop.replace(/\.0$/, '.9'), act: 'done', at: '2026-11-28T08:45:00.000Z' }),
      enter(day, { step: 'nothing', act: 'done', at: '2026-11-28T08:45:00.000Z' }),
    ]);
    expect(faults.map(({ status, body }) => [status, body.code, body.errors?.[0]?.pointer])).toEqual([
      [400, 'invalid-input', '#/at'],
      [404, 'not-found', undefined],
      [400, 'invalid-input', '#/step'],
    ]);
  });

  it('can be worked out while the round is planned, so that thawing begins in time; nothing is done before it is cooked', async () => {
    const { day } = await cookDay('planning');
    const sheet = await workOut(day);
    expect(sheet.makings.map(({ name, batchId }) => [name, batchId])).toEqual([
      ['Sauce', null],
      ['Pie', null],
    ]);
    const early = await enter(day, { step: keyOf(sheet, 'Chop'), act: 'done', at: '2026-11-28T08:31:00.000Z' });
    expect([early.status, early.body.code]).toEqual([409, 'round-stage']);
  });

  it('counts the steps of a batch as done when what came out of it is entered', async () => {
    const { roundId, day } = await cookDay();
    await workOut(day);
    const { batches } = await who.ok<Kitchen>('GET', `${path}/rounds/${roundId}/kitchen`);
    const batch = batches[0];
    await who.ok(
      'PUT',
      `${path}/batches/${batch?.id}/yield`,
      { frozenOn: '2026-11-28', containers: [{ portions: 4, count: 3 }] },
      { ifMatch: batch?.version },
    );
    const after = await read(day);
    expect(after.done.length).toBe(3);
    expect(after.sheet?.isCurrent).toBe(true);
  });

  it('takes a step that arrives after the count of a batch frozen before the day', async () => {
    const { roundId, day } = await cookDay();
    const bake = keyOf(await workOut(day), 'Bake');
    const { batches } = await who.ok<Kitchen>('GET', `${path}/rounds/${roundId}/kitchen`);
    const made = { frozenOn: '2026-11-27', containers: [{ portions: 4, count: 3 }] };
    await who.ok('PUT', `${path}/batches/${batches[0]?.id}/yield`, made, { ifMatch: batches[0]?.version });
    expect((await read(day)).makings.map(({ name }) => name)).not.toContain('Pie');
    expect((await enter(day, { step: bake, act: 'done', at: '2026-11-28T08:31:00.000Z' })).status).toBe(201);
  });
});
