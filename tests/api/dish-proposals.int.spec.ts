import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import type { dishProposal, Problem } from '@frostmoot/contract';
import { CalcPool } from '@frostmoot/solver';
import type { z } from 'zod';
import { SharedCalc } from '../../apps/api/src/platform/solver/shared-calc.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { DATES, HOUSEHOLDS, moveOn, NOW, startRound, stockPantry } from '../builders/pantry.ts';
import type { Pantry, RoundAnswer } from '../builders/pantry.ts';
import { brokenInvariants } from '../database/test-database.ts';
import { startApi, type Api, type Client } from './harness.ts';

type Proposal = z.infer<typeof dishProposal>;

describe('dishes that are proposed', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
  let who: Client;
  let path: string;
  let round: RoundAnswer;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    ({ coordinator: who, path } = cooperative);
    pantry = await stockPantry(cooperative);
    round = await who.ok<RoundAnswer>('POST', `${path}/rounds`, { ...DATES, dinners: 8 });
  });
  afterAll(async () => {
    expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
    await api.stop();
  });

  const trays = (packs: number, more: object = {}) => ({
    atHand: [{ ingredientId: pantry.ingredients['Mince']?.id, packs, packQuantity: '3.2', packUnit: 'kg', ...more }],
  });
  const ask = (body: object, asker = who, id = round.id): Promise<Proposal> =>
    asker.ok('POST', `${path}/rounds/${id}/dish-proposals`, body);
  const batches = ({ dishes }: Proposal) => Object.fromEntries(dishes.map((dish) => [dish.name, dish.batches]));
  const refusal = async (body: object, id = round.id) => {
    const answer = await who.call<Problem>('POST', `${path}/rounds/${id}/dish-proposals`, body);
    return [
      answer.status,
      answer.body.code,
      ...(answer.body.errors ?? []).map(({ pointer }) => pointer.replace('#', '')),
    ];
  };

  it('feed everybody from what each may eat, and change nothing', async () => {
    const proposal = await ask({ variety: 1 });
    // 52 are wanted. Cedar (20) eats no meat, Birch (16) no milk. 3 x 20 of the base alone are 60; one dish for each household is wished.
    expect(proposal).toMatchObject({ proof: 'optimal', wanted: '52', short: '0', varietyShort: 0, atHand: [] });
    expect(Number(proposal.portions)).toBeGreaterThanOrEqual(52);
    expect(proposal.freezerFreeMl).toBe(110_000);
    expect(await who.ok('GET', `${path}/rounds/${round.id}`)).toEqual(round);
  });

  it('use up what is at hand, and say what is left in packs and what would use it up', async () => {
    const proposal = await ask(trays(4));
    // 3 kg a batch. At most 52 + 26 portions: Cedar needs 20 of the base, which leaves 58, 3 batches of 16. 12.8 - 9 = 3.8 kg: a tray of 3.2 and 0.6.
    expect(batches(proposal)).toEqual({ 'Mince pot': 3, 'Red base': 1 });
    expect(proposal).toMatchObject({ proof: 'optimal', portions: '68', short: '0', beyond: '16' });
    expect(proposal.atHand).toEqual([
      {
        ingredient: { id: pantry.ingredients['Mince']?.id, name: 'Mince' },
        unit: 'g',
        quantity: '12800',
        packs: 4,
        packsUsed: 3,
        packsLeft: 1,
        opened: '600',
        left: '3800',
        next: [
          {
            recipe: { id: pantry.recipes['Mince pot']?.id, name: 'Mince pot' },
            takes: '3000',
            missing: '0',
            // 84 portions are 6 more than the 78.
            obstacles: [{ limit: 'beyond', over: '6' }],
          },
        ],
      },
    ]);
    const more = await ask({ ...trays(4), portionsAtMost: 90 });
    expect(batches(more)).toEqual({ 'Mince pot': 4, 'Red base': 1 });
    expect(more.atHand).toMatchObject([{ packsUsed: 4, packsLeft: 0, opened: '800', next: [{ missing: '2200' }] }]);
    const small = await ask({ ...trays(4), batchesAtMost: 3 });
    expect(small.dishes.reduce((sum, dish) => sum + dish.batches, 0)).toBe(3);
  });

  it('cost what the plan then says, and are taken over by saving them', async () => {
    const planned = await who.ok<RoundAnswer>('POST', `${path}/rounds`, { ...DATES, dinners: 8 });
    const proposal = await ask(trays(4), who, planned.id);
    const dishes = proposal.dishes.map(({ recipeId, batches: count }) => ({ recipeId, batches: count }));
    const saved = await who.ok<RoundAnswer>(
      'PUT',
      `${path}/rounds/${planned.id}/dishes`,
      { dishes },
      { ifMatch: planned.version },
    );
    expect([saved.costMinor, saved.costPerPortionMinor]).toEqual([proposal.costMinor, proposal.costPerPortionMinor]);
    expect(saved.freezerNeededMl).toBe(proposal.freezerNeededMl);
  });

  it('keep what is planned already, unless they may be others', async () => {
    const planned = await startRound(cooperative, pantry);
    const kept = await ask({ variety: 1 }, who, planned.id);
    expect(kept.dishes.every((dish) => dish.batches >= 1)).toBe(true);
    expect(kept.dishes).toHaveLength(3);
    const free = await ask({ variety: 1, keep: false }, who, planned.id);
    expect(Number(free.portions)).toBeLessThanOrEqual(Number(kept.portions));
    await moveOn(cooperative, planned.id, 'buying');
    expect(await refusal({}, planned.id)).toEqual([409, 'round-stage']);
  });

  it('tell for whom there is little only to those who may know', async () => {
    const seen = await ask({ ...trays(4), variety: 3 });
    expect(seen.fewerDishes.map(({ household, reason }) => [household.name, reason])).toEqual(
      expect.arrayContaining([
        ['Birch', 'may-eat-few'],
        ['Cedar', 'may-eat-few'],
      ]),
    );
    const told = await ask({ ...trays(4), variety: 3 }, cooperative.household('Birch').client);
    expect(told.fewerDishes.map(({ household }) => household.name)).toEqual(['Birch']);
    expect(told.varietyShort).toBe(seen.varietyShort);
  });

  it('are refused with what is wrong where', async () => {
    const [pack] = trays(1).atHand;
    expect(await refusal(trays(1, { packUnit: 'bucketful' }))).toEqual([422, 'unknown-unit', '/atHand/0/packUnit']);
    expect(await refusal(trays(1, { packUnit: 'L' }))).toEqual([422, 'density-missing', '/atHand/0/packUnit']);
    expect(await refusal(trays(1, { packQuantity: '0' }))).toEqual([400, 'invalid-input', '/atHand/0/packQuantity']);
    expect(await refusal({ atHand: [pack, pack] })).toEqual([400, 'invalid-input', '/atHand/1/ingredientId']);
    expect(await refusal(trays(0))).toEqual([400, 'invalid-input', '/atHand/0/packs']);
    expect(await refusal(trays(1, { ingredientId: round.id }))).toEqual([
      400,
      'invalid-input',
      '/atHand/0/ingredientId',
    ]);
  });

  it('are searched for in a thread, whose end refuses the request with a code', async () => {
    const pool = new CalcPool({ threads: 1, worker: new URL('../solver/failing-calc-worker.mjs', import.meta.url) });
    jest
      .spyOn(api.app.get(SharedCalc), 'run')
      .mockImplementation((name, _, options) => pool.run(name, { how: 'exit' }, options));
    expect(await refusal({ variety: 1 })).toEqual([503, 'interrupted']);
    await pool.close();
    jest.restoreAllMocks();
    expect(await ask({ variety: 1 })).toMatchObject({ proof: 'optimal' });
  });
});
