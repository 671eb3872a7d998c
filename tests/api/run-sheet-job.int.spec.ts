import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, jest } from '@jest/globals';
import { SolverError } from '@frostmoot/calc';
import type { job, kitchen, runSheet } from '@frostmoot/contract';
import { CalcPool } from '@frostmoot/solver';
import type { z } from 'zod';
import { SharedCalc } from '../../apps/api/src/platform/solver/shared-calc.ts';
import { SharedSolver } from '../../apps/api/src/platform/solver/shared-solver.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { ended, workOutRunSheet } from '../builders/jobs.ts';
import { addRecipe, HOUSEHOLDS, NOW, startRound, stockPantry } from '../builders/pantry.ts';
import { until } from '../builders/until.ts';
import { broken } from './books.ts';
import { startApi, type Api } from './harness.ts';

type RunSheet = z.infer<typeof runSheet>;
type Kitchen = z.infer<typeof kitchen>;
type Job = z.infer<typeof job>;

describe('a run sheet of a long day', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let day: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const recipes: typeof pantry.recipes = {};
    // Ten dishes of four steps, made up for this test: the search goes to its limit, which takes seconds, and does not settle it.
    for (let dish = 0; dish < 10; dish += 1) {
      recipes[`Dish ${dish}`] = await addRecipe(who, path, {
        name: `Dish ${dish}`,
        makes: { quantity: '12', unit: 'each' },
        portions: 12,
        potLitres: dish % 2 ? '4' : '9',
        containerPlan: [{ portions: 4, count: 3 }],
        lines: [{ ingredientId: pantry.ingredients['Onions']?.id, quantity: '1', unit: 'kg' }],
        steps: [
          { words: 'Chop', activeMinutes: 14 + 5 * (dish % 3), passiveMinutes: 0 },
          { words: 'Fry', activeMinutes: 11, passiveMinutes: 25 + 5 * (dish % 4), place: dish % 2 ? 'oven' : 'hob' },
          { words: 'Simmer', activeMinutes: 16, passiveMinutes: 20 + 10 * (dish % 3), place: 'hob' },
          { words: 'Cool', activeMinutes: 9, passiveMinutes: 60 + 10 * (dish % 4), place: 'cooling' },
        ],
      });
    }
    const [alder, birch] = cooperative.households.map(({ id }) => id);
    const own = `${path}/households/${alder}/kitchen`;
    const { version } = await who.ok<{ version: number }>('GET', own);
    await who.ok('PUT', own, { hobs: 4, ovens: 2, potsLitres: [], benchPeople: null }, { ifMatch: version });
    const round = await startRound(
      cooperative,
      { ...pantry, recipes },
      { kitchenHouseholdId: alder, cookHouseholdIds: [alder, birch] },
    );
    const { cookDays } = await who.ok<Kitchen>('GET', `${path}/rounds/${round.id}/kitchen`);
    day = cookDays[0]?.id ?? '';
  });
  /** The solver has no answer in time, so that how long a proof takes decides nothing here. */
  beforeEach(() => {
    jest.spyOn(api.app.get(SharedSolver), 'solve').mockRejectedValue(new SolverError('solver-time', 'Not in time.'));
  });
  afterEach(async () => {
    jest.restoreAllMocks();
    expect(await broken(api)).toEqual([]);
  });
  afterAll(() => api.stop());

  const sheetNow = async (): Promise<RunSheet['sheet']> => {
    const { coordinator: who, path } = cooperative;
    return (await who.ok<RunSheet>('GET', `${path}/cook-days/${day}/run-sheet`)).sheet;
  };
  const start = (body: object = {}): Promise<Job> =>
    cooperative.coordinator.ok('POST', `${cooperative.path}/cook-days/${day}/run-sheet`, body);
  const find = (id: string): Promise<Job> => cooperative.coordinator.ok('GET', `${cooperative.path}/jobs/${id}`);
  const searching = (id: string): Promise<void> => until(async () => (await find(id)).code === 'run-sheet-search');
  /** Instead of the calculation a thread that does as it is told. */
  const failing = (how: string): CalcPool => {
    const pool = new CalcPool({ threads: 1, worker: new URL('../solver/failing-calc-worker.mjs', import.meta.url) });
    const solver = api.app.get(SharedSolver);
    jest
      .spyOn(api.app.get(SharedCalc), 'prove')
      .mockImplementation((name, _, options) => pool.prove(name, { how }, { ...options, solver }));
    return pool;
  };

  it('is worked out while others are answered, one at a time', async () => {
    const { id } = await start();
    await searching(id);
    const answers = Array.from({ length: 20 }, async () => (await fetch(`${api.url}/api/health/ready`)).status);
    expect(new Set(await Promise.all(answers))).toEqual(new Set([200]));
    const again = await start();
    // All of that was answered while the search went on.
    expect(await find(id)).toMatchObject({ state: 'running', stage: 1, code: 'run-sheet-search' });
    expect([again.id, await sheetNow()]).toEqual([id, null]);
    const job = await ended(cooperative.coordinator, cooperative.path, id);
    const sheet = await sheetNow();
    expect(job).toMatchObject({ state: 'done', answer: { minutes: sheet?.minutes, proof: sheet?.proof } });
    expect(sheet).toMatchObject({ isCurrent: true, steps: { length: 40 } });
  });

  it('is stopped, and the one before stays', async () => {
    const before = await sheetNow();
    const pool = failing('never');
    const { id } = await start();
    await searching(id);
    await cooperative.coordinator.ok('POST', `${cooperative.path}/jobs/${id}/stop`);
    const job = await ended(cooperative.coordinator, cooperative.path, id);
    expect(job).toMatchObject({ state: 'stopped', answer: null, problem: null });
    await pool.close();
    expect((await sheetNow())?.id).toBe(before?.id);
  });

  it('is stopped while it is proved, and the best so far is kept', async () => {
    const before = await sheetNow();
    const solver = api.app.get(SharedSolver);
    let isAsked = false;
    jest.spyOn(solver, 'solve').mockImplementation(
      (_, { cancel }) =>
        new Promise((_resolve, reject) => {
          isAsked = true;
          cancel?.addEventListener('abort', () => reject(new SolverError('solver-cancelled', 'Enough.')));
        }),
    );
    const { id } = await start();
    await until(() => Promise.resolve(isAsked));
    await until(async () => (await find(id)).code === 'run-sheet-prove');
    await cooperative.coordinator.ok('POST', `${cooperative.path}/jobs/${id}/stop`);
    const job = await ended(cooperative.coordinator, cooperative.path, id);
    const sheet = await sheetNow();
    expect(job).toMatchObject({ state: 'stopped', answer: { minutes: sheet?.minutes, proof: 'bounded' } });
    expect(sheet?.id).not.toBe(before?.id);
  });

  it('is worked out anew when the day changes meanwhile', async () => {
    const calc = api.app.get(SharedCalc);
    const prove = calc.prove.bind(calc);
    const started: string[] = [];
    const spy = jest.spyOn(calc, 'prove').mockImplementationOnce(async (...args) => {
      const result = await prove(...args);
      started.push((await start({ people: 3 })).id);
      return result;
    });
    const { id } = await start();
    expect(await ended(cooperative.coordinator, cooperative.path, id)).toMatchObject({ state: 'done' });
    const sheet = await sheetNow();
    expect([started, spy.mock.calls.length, sheet?.isCurrent]).toEqual([[id], 2, true]);
    expect(new Set(sheet?.steps.flatMap(({ people }) => people))).toEqual(new Set([1, 2, 3]));
  });

  it('fails with a code when its thread ends, and can be worked out again', async () => {
    const before = await sheetNow();
    const pool = failing('exit');
    const { id } = await start();
    expect(await ended(cooperative.coordinator, cooperative.path, id)).toMatchObject({
      state: 'failed',
      problem: { code: 'interrupted' },
    });
    await pool.close();
    expect((await sheetNow())?.id).toBe(before?.id);
    jest.restoreAllMocks();
    const { coordinator, path } = cooperative;
    const { sheet } = await workOutRunSheet<RunSheet>(coordinator, path, day);
    expect(sheet?.isCurrent).toBe(true);
  });
});
