import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import type { DishProposal as Proposal, job, Problem } from '@frostmoot/contract';
import { CalcPool } from '@frostmoot/solver';
import type { z } from 'zod';
import { setTimeout as delay } from 'node:timers/promises';
import { SharedCalc } from '../../apps/api/src/platform/solver/shared-calc.ts';
import { SharedSolver } from '../../apps/api/src/platform/solver/shared-solver.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import {
  addIngredient,
  addRecipe,
  DATES,
  HOUSEHOLDS,
  moveOn,
  NOW,
  startRound,
  stockPantry,
} from '../builders/pantry.ts';
import type { Pantry, RoundAnswer } from '../builders/pantry.ts';
import { ended } from '../builders/jobs.ts';
import { brokenInvariants } from '../database/test-database.ts';
import { startApi, type Api, type Client } from './harness.ts';

type Job = z.infer<typeof job>;

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
  const start = (body: object, asker = who, id = round.id): Promise<Job> =>
    asker.ok('POST', `${path}/rounds/${id}/dish-proposals`, body);
  const ask = async (body: object, asker = who, id = round.id): Promise<Proposal> => {
    const { state, answer, problem } = await ended(asker, path, (await start(body, asker, id)).id);
    expect([state, problem]).toEqual(['done', null]);
    return answer as Proposal;
  };
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

  it('keep to the hours of all hands together, those for the base included', async () => {
    const other = await buildCooperative(api, { households: [{ name: 'Dogwood', freezerMl: 60_000 }] });
    const { coordinator, path: there } = other;
    const beans = await addIngredient(coordinator, there, { name: 'Beans', baseUnit: 'g' });
    const lines = [{ ingredientId: beans.id, quantity: '1', unit: 'kg' }];
    const base = await addRecipe(coordinator, there, {
      name: 'Base',
      makes: { quantity: '4', unit: 'L' },
      lines,
      steps: [{ words: 'Chop', activeMinutes: 60, passiveMinutes: 10 }],
    });
    await addRecipe(coordinator, there, {
      name: 'Bean pot',
      makes: { quantity: '4', unit: 'L' },
      portions: 8,
      containerPlan: [{ portions: 4, count: 2, millilitres: 2000 }],
      lines: [...lines, { componentVersionId: base.current.id, quantity: '1', unit: 'L' }],
      steps: [{ words: 'Fill the pot', activeMinutes: 30, passiveMinutes: 0, hands: 2 }],
    });
    const { id } = await coordinator.ok<RoundAnswer>('POST', `${there}/rounds`, { ...DATES, dinners: 14 });
    const batchesIn = async (body: object): Promise<number[]> => {
      const job = await coordinator.ok<Job>('POST', `${there}/rounds/${id}/dish-proposals`, body);
      const { answer } = await ended(coordinator, there, job.id);
      return (answer as Proposal).dishes.map((dish) => dish.batches);
    };
    // 60 minutes for the base, twice 30 for the pot: 120 for each batch.
    expect(await batchesIn({ variety: 1, minutesAtMost: 240 })).toEqual([2]);
    expect(await batchesIn({ variety: 1, minutesAtMost: 239 })).toEqual([1]);
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

  it('are shown to whoever asked, and can be stopped', async () => {
    const { id } = await start({ variety: 1 });
    expect((await ended(who, path, id)).stage).toBe(3);
    const birch = cooperative.household('Birch').client;
    expect((await birch.call('GET', `${path}/jobs/${id}`)).status).toBe(404);
    const calc = api.app.get(SharedCalc);
    const prove = calc.prove.bind(calc);
    const begun = jest.spyOn(calc, 'prove').mockImplementation(async (name, input, options) => {
      await new Promise<void>((resolve) => options.stop?.addEventListener('abort', resolve));
      return prove(name, input, options);
    });
    const { id: second } = await start({ variety: 1 });
    while (begun.mock.calls.length === 0) await delay(20);
    await who.ok('POST', `${path}/jobs/${second}/stop`);
    const stopped = await ended(who, path, second);
    expect([stopped.state, (stopped.answer as Proposal).short]).toEqual(['stopped', '0']);
    jest.restoreAllMocks();
  });

  it('are searched for in a thread, whose end ends the job with a code', async () => {
    const pool = new CalcPool({ threads: 1, worker: new URL('../solver/failing-calc-worker.mjs', import.meta.url) });
    const solver = api.app.get(SharedSolver);
    jest
      .spyOn(api.app.get(SharedCalc), 'prove')
      .mockImplementation((name, _, options) => pool.prove(name, { how: 'exit' }, { ...options, solver }));
    const failed = await ended(who, path, (await start({ variety: 1 })).id);
    expect([failed.state, failed.problem?.code]).toEqual(['failed', 'interrupted']);
    await pool.close();
    jest.restoreAllMocks();
    expect(await ask({ variety: 1 })).toMatchObject({ proof: 'optimal' });
  });
});
