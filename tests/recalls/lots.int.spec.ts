import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { batchLotChoices, kitchen, Problem, receipt, recallTrace } from '@frostmoot/contract';
import type { z } from 'zod';
import { broken } from '../api/books.ts';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, moveOn, NOW, startRound, stockPantry, type Pantry } from '../builders/pantry.ts';

type Choices = z.infer<typeof batchLotChoices>;
type Receipt = z.infer<typeof receipt>;

describe('lots, from the till to the pot', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
  let roundId: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    pantry = await stockPantry(cooperative);
    const round = await startRound(cooperative, pantry);
    roundId = round.id;
    const dishes = Object.values(pantry.recipes).map(({ id: recipeId }) => ({ recipeId, batches: 1 }));
    const { coordinator, path } = cooperative;
    await coordinator.ok('PUT', `${path}/rounds/${roundId}/dishes`, { dishes }, { ifMatch: round.version });
    await moveOn(cooperative, roundId, 'buying');
  });
  afterAll(async () => {
    expect(await broken(api)).toEqual([]);
    await api.stop();
  });

  const enter = (lines: object[]) =>
    cooperative.coordinator.call<Receipt & Problem>('POST', `${cooperative.path}/rounds/${roundId}/receipts`, {
      sellerId: pantry.sellers['Mill']?.id,
      paidByHouseholdId: cooperative.household('Birch').id,
      boughtOn: '2026-11-26',
      lines,
    });
  const tomatoes = (more: object) => ({
    ingredientId: pantry.ingredients['Tomatoes']?.id,
    label: 'Tomatoes',
    amountMinor: '460',
    ...more,
  });
  const lotsOf = (batchId: string, who = cooperative.coordinator) =>
    who.ok<Choices>('GET', `${cooperative.path}/batches/${batchId}/lots`);
  const of = ({ ingredients }: Choices, name: string) => ingredients.find(({ ingredient }) => ingredient.name === name);

  it('are refused where they cannot be, at their place, with nothing kept', async () => {
    const lots = [{ code: 'T-1' }];
    const fee = await enter([tomatoes({}), { kind: 'fee', label: 'Delivery', amountMinor: '250', lots }]);
    expect(fee).toMatchObject({ status: 400, body: { errors: [{ pointer: '#/lines/1/lots' }] } });
    const twice = await enter([tomatoes({ lots: [{ code: 'T-1' }, { code: 'T-1' }] })]);
    expect(twice).toMatchObject({ status: 400, body: { errors: [{ pointer: '#/lines/0/lots/1/code' }] } });
    const long = await enter([tomatoes({ lots: [{ code: 'x'.repeat(61) }] })]);
    expect(long).toMatchObject({ status: 400, body: { errors: [{ pointer: '#/lines/0/lots/0/code' }] } });
  });

  it('come from the receipt, are told by the cook, and are found by a recall', async () => {
    const lots = [{ code: 'T-4471', bestBefore: '2027-01-31' }, { code: 'T-4472' }];
    const { body } = await enter([tomatoes({ lots }), { label: 'Foil', amountMinor: '40' }]);
    expect(body.lines.map((line) => line.lots.map(({ code, bestBefore }) => [code, bestBefore]))).toEqual([
      [
        ['T-4471', '2027-01-31'],
        ['T-4472', null],
      ],
      [],
    ]);
    await moveOn(cooperative, roundId, 'cooking');
    const { client } = cooperative.household('Cedar');
    const { batches } = await client.ok<z.infer<typeof kitchen>>(
      'GET',
      `${cooperative.path}/rounds/${roundId}/kitchen`,
    );
    const base = batches.find(({ name }) => name === 'Red base');
    if (!base) throw new Error('There is no batch of the base');
    const choices = of(await lotsOf(base.id, client), 'Tomatoes');
    expect(choices?.lots.map(({ code, told }) => [code, told]).sort()).toEqual([
      ['T-4471', false],
      ['T-4472', false],
    ]);
    expect(choices?.receiptLines.map(({ label, boughtOn }) => [label, boughtOn])).toEqual([['Tomatoes', '2026-11-26']]);
    // A dish that uses the base may have it in it as well; what it is not made of is not asked about.
    const reached = await Promise.all(
      batches.map(async ({ id, name }) => [name, of(await lotsOf(id), 'Tomatoes')] as const),
    );
    expect(reached.filter(([, found]) => found).length).toBeGreaterThan(1);
    const lot = choices?.lots.find(({ code }) => code === 'T-4471');
    await client.ok('POST', `${cooperative.path}/batches/${base.id}/lots`, { lotIds: [lot?.id] });
    expect(of(await lotsOf(base.id), 'Tomatoes')?.lots.find(({ told }) => told)?.code).toBe('T-4471');
    const trace = (id: string | undefined) =>
      cooperative.coordinator.ok<z.infer<typeof recallTrace>>(
        'GET',
        `${cooperative.path}/recall-trace?source=lot&sourceId=${id}`,
      );
    expect((await trace(lot?.id)).batches.find(({ lotCode }) => lotCode === base.lotCode)?.sure).toBe(true);
    const other = choices?.lots.find(({ code }) => code === 'T-4472');
    expect((await trace(other?.id)).batches.map(({ lotCode }) => lotCode)).not.toContain(base.lotCode);
  });

  it('are all there to choose from where one line has ten of them', async () => {
    const codes = Array.from({ length: 10 }, (_, index) => `O-${index}`);
    const lots = codes.map((code) => ({ code }));
    const line = { ingredientId: pantry.ingredients['Onions']?.id, label: 'Onions', amountMinor: '95', lots };
    expect((await enter([line])).status).toBe(201);
    const { coordinator, path } = cooperative;
    const { batches } = await coordinator.ok<z.infer<typeof kitchen>>('GET', `${path}/rounds/${roundId}/kitchen`);
    const base = batches.find(({ name }) => name === 'Red base');
    const choices = of(await lotsOf(base?.id ?? ''), 'Onions');
    expect(choices?.lots.map(({ code }) => code).sort()).toEqual(codes);
  });

  it('can be written down in the kitchen where nobody did at the till', async () => {
    const { client } = cooperative.household('Cedar');
    const { batches } = await client.ok<z.infer<typeof kitchen>>(
      'GET',
      `${cooperative.path}/rounds/${roundId}/kitchen`,
    );
    const base = batches.find(({ name }) => name === 'Red base');
    const choices = of(await lotsOf(base?.id ?? '', client), 'Tomatoes');
    const receiptLineId = choices?.receiptLines[0]?.id;
    const lot = await client.ok<{ id: string }>('POST', `${cooperative.path}/lots`, { receiptLineId, code: 'T-9' });
    await client.ok('POST', `${cooperative.path}/batches/${base?.id}/lots`, { lotIds: [lot.id] });
    const told = of(await lotsOf(base?.id ?? ''), 'Tomatoes')?.lots.filter((each) => each.told);
    expect(told?.map(({ code }) => code).sort()).toEqual(['T-4471', 'T-9']);
    const unknown = '00000000-0000-4000-8000-000000000000';
    expect((await client.call('GET', `${cooperative.path}/batches/${unknown}/lots`)).status).toBe(404);
  });
});
