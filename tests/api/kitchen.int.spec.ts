import { afterAll, afterEach, beforeAll, describe, expect, it } from '@jest/globals';
import type { batch, kitchen, Problem } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import {
  addRecipe,
  HOUSEHOLDS,
  moveOn,
  NOW,
  startRound,
  stockPantry,
  type Pantry,
  type RoundAnswer,
} from '../builders/pantry.ts';
import { broken } from './books.ts';
import { startApi, type Api, type Client } from './harness.ts';

type Kitchen = z.infer<typeof kitchen>;
type Batch = z.infer<typeof batch>;

describe('the kitchen', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
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

  const read = (roundId: string): Promise<Kitchen> => who.ok('GET', `${path}/rounds/${roundId}/kitchen`);
  const fault = ({ status, body }: { status: number; body: Problem }) => [
    status,
    body.code,
    ...(body.errors ?? []).map(({ pointer }) => pointer),
  ];
  const enter = ({ id, version }: Batch, body: object, ifMatch = version) =>
    who.call<Batch & Problem>('PUT', `${path}/batches/${id}/yield`, { frozenOn: '2026-11-28', ...body }, { ifMatch });

  /** A round of its own that is being cooked: the base twice, the others once. */
  async function cookingRound(): Promise<{ roundId: string; batches: Batch[] }> {
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    ({ coordinator: who, path } = cooperative);
    pantry = await stockPantry(cooperative);
    const { id: roundId, version } = await startRound(cooperative, pantry);
    const dishes = Object.entries(pantry.recipes).map(([name, { id }]) => ({
      recipeId: id,
      batches: name === 'Red base' ? 2 : 1,
    }));
    await who.ok('PUT', `${path}/rounds/${roundId}/dishes`, { dishes }, { ifMatch: version });
    await moveOn(cooperative, roundId, 'buying');
    await who.ok('POST', `${path}/rounds/${roundId}/receipts`, {
      sellerId: pantry.sellers['Mill']?.id,
      paidByHouseholdId: cooperative.household('Birch').id,
      boughtOn: '2026-11-25',
      lines: [{ label: 'Everything', amountMinor: '9000' }],
    });
    await moveOn(cooperative, roundId, 'cooking');
    return { roundId, batches: (await read(roundId)).batches };
  }
  const named = (batches: readonly Batch[], lotCode: string): Batch => {
    const found = batches.find((each) => each.lotCode === lotCode);
    if (!found) throw new Error(`There is no batch ${lotCode}`);
    return found;
  };
  const containersOf = (batchId: string) =>
    withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ number: number; portions: number; best: string; state: string }>(
        `SELECT number, portions, best_before::text AS best, state FROM container WHERE batch_id = $1 ORDER BY number`,
        [batchId],
      );
      return rows;
    });

  it('plans batches with lot codes, their amounts, and what the bases come to', async () => {
    const { roundId, batches } = await cookingRound();
    expect(batches.map(({ lotCode, name, state, plannedPortions }) => [lotCode, name, state, plannedPortions])).toEqual(
      [
        ['R1-A1', 'Red base', 'planned', 20],
        ['R1-A2', 'Red base', 'planned', 20],
        ['R1-B1', 'Mince pot', 'planned', 16],
        ['R1-C1', 'Lentil cream', 'planned', 12],
      ],
    );
    const pot = named(batches, 'R1-B1');
    expect(pot.amounts).toEqual([
      { name: 'Red base', exact: '4', unit: 'L', say: '4 L' },
      { name: 'Mince', exact: '3', unit: 'kg', say: '3 kg' },
      { name: 'Oil', exact: '90', unit: 'g', say: '90 g' },
    ]);
    expect(pot).toMatchObject({
      notDeclared: ['Mince', 'Oil', 'Onions'],
      actualPortions: null,
      bestBefore: null,
      months: 3,
    });
    const { bases, portionsPlanned, portionsMade } = await read(roundId);
    // Two batches of 10 L to eat, 4 L for the pot and 3 L for the lentils.
    expect(bases).toEqual([
      {
        recipeId: pantry.recipes['Red base']?.id,
        name: 'Red base',
        exact: '27',
        unit: 'L',
        batches: 3,
        usedIn: ['Lentil cream', 'Mince pot', 'Red base'],
      },
    ]);
    expect([portionsPlanned, portionsMade]).toEqual([68, 0]);
  });

  it('seals what really came out, with best-before by the calendar', async () => {
    const { roundId, batches } = await cookingRound();
    const short = [
      { portions: 4, count: 3, millilitres: 2000 },
      { portions: 3, count: 1, millilitres: 1500 },
    ];
    const { status, body } = await enter(named(batches, 'R1-B1'), { containers: short, note: 'Some stuck to the pan' });
    expect(status).toBe(200);
    expect(body).toMatchObject({
      state: 'made',
      actualPortions: 15,
      plannedPortions: 16,
      containers: [
        { portions: 4, count: 3 },
        { portions: 3, count: 1 },
      ],
      bestBefore: '2027-02-28',
      note: 'Some stuck to the pan',
      version: 2,
    });
    expect(await containersOf(body.id)).toEqual([
      { number: 1, portions: 4, best: '2027-02-28', state: 'sealed' },
      { number: 2, portions: 4, best: '2027-02-28', state: 'sealed' },
      { number: 3, portions: 4, best: '2027-02-28', state: 'sealed' },
      { number: 4, portions: 3, best: '2027-02-28', state: 'sealed' },
    ]);
    expect((await read(roundId)).portionsMade).toBe(15);
    const round = await who.ok<RoundAnswer>('GET', `${path}/rounds/${roundId}`);
    expect(round).toMatchObject({ portionsPlanned: 68, portionsMade: 15, next: null });
    // Two bases (10 L each) and the lentils (6 L) to come, and the sealed 7.5 L.
    expect(round.freezerNeededMl).toBe(33_500);
    expect(
      round.openPoints.filter(({ code }) => code === 'yield-missing').map(({ facts }) => facts['lotCode']),
    ).toEqual(['R1-A1', 'R1-A2', 'R1-C1']);
  });

  it('clamps best-before to the end of a month', async () => {
    api.config.now = new Date('2026-11-30T10:00:00.000Z');
    const { batches } = await cookingRound();
    const { body } = await enter(named(batches, 'R1-A1'), {
      frozenOn: '2026-11-30',
      containers: [{ portions: 4, count: 5 }],
    });
    expect(body.bestBefore).toBe('2027-02-28');
  });

  it('replaces what was entered before, from the version that was read', async () => {
    const { batches } = await cookingRound();
    const first = await enter(named(batches, 'R1-A1'), { containers: [{ portions: 4, count: 5 }] });
    const second = await enter(first.body, { containers: [{ portions: 5, count: 3 }] });
    expect([second.status, second.body.actualPortions]).toEqual([200, 15]);
    expect((await containersOf(second.body.id)).map(({ number, portions }) => [number, portions])).toEqual([
      [1, 5],
      [2, 5],
      [3, 5],
    ]);
    expect((await enter(first.body, { containers: [{ portions: 4, count: 5 }] })).status).toBe(412);
    const missing = await who.call('PUT', `${path}/batches/${second.body.id}/yield`, {
      frozenOn: '2026-11-28',
      containers: [],
    });
    expect(missing.status).toBe(428);
  });

  it('keeps a container that was lost before the yield was put right', async () => {
    const { batches } = await cookingRound();
    const { body } = await enter(named(batches, 'R1-C1'), {
      containers: [
        { portions: 2, count: 4 },
        { portions: 4, count: 1 },
      ],
    });
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `UPDATE container SET state = 'lost', ended_at = now(), ended_reason = 'Dropped' WHERE batch_id = $1 AND number = 2`,
        [body.id],
      ),
    );
    expect(fault(await enter(body, { containers: [{ portions: 4, count: 3 }] }))).toEqual([
      400,
      'invalid-input',
      '#/containers',
    ]);
    const again = await enter(body, {
      containers: [
        { portions: 2, count: 2 },
        { portions: 4, count: 1 },
      ],
    });
    expect([again.status, again.body.actualPortions]).toEqual([200, 8]);
    expect((await containersOf(body.id)).map(({ number, portions, state }) => [number, portions, state])).toEqual([
      [1, 2, 'sealed'],
      [2, 2, 'lost'],
      [3, 4, 'sealed'],
    ]);
  });

  it('waits for a container that is just being lost, and keeps it', async () => {
    const { batches } = await cookingRound();
    const containers = [{ portions: 4, count: 4 }];
    const { body } = await enter(named(batches, 'R1-B1'), { containers });
    await withClient(api.database.ownerUrl, async (client) => {
      await client.query('BEGIN');
      await client.query(
        `UPDATE container SET state = 'lost', ended_at = now(), ended_reason = 'Dropped' WHERE batch_id = $1 AND number = 1`,
        [body.id],
      );
      const entering = enter(body, { containers });
      for (let waiting = false; !waiting;) {
        const { rows } = await client.query<{ count: number }>('SELECT count(*)::int FROM pg_locks WHERE NOT granted');
        waiting = (rows[0]?.count ?? 0) > 0;
      }
      await client.query('COMMIT');
      expect((await entering).status).toBe(200);
    });
    expect((await containersOf(body.id)).map(({ number, state }) => [number, state])).toEqual([
      [1, 'lost'],
      [2, 'sealed'],
      [3, 'sealed'],
      [4, 'sealed'],
    ]);
  });

  it('lets a round end in which everything was thrown away', async () => {
    const { roundId, batches } = await cookingRound();
    for (const each of batches) await enter(each, { containers: [], note: 'The freezer was off' });
    expect((await moveOn(cooperative, roundId, 'sharing')).next).toBe('settled');
    expect((await moveOn(cooperative, roundId, 'settled')).stage).toBe('settled');
  });

  it('writes a batch off that was thrown away, with the reason', async () => {
    const { batches } = await cookingRound();
    expect(fault(await enter(named(batches, 'R1-A2'), { containers: [] }))).toEqual([400, 'invalid-input', '#/note']);
    const { body } = await enter(named(batches, 'R1-A2'), { containers: [], note: 'Too warm for too long' });
    expect(body).toMatchObject({ state: 'thrown-away', actualPortions: 0, containers: [], bestBefore: null });
  });

  it('refuses days that cannot be, and rounds that are not cooking', async () => {
    const { roundId, batches } = await cookingRound();
    const containers = [{ portions: 4, count: 4 }];
    const pot = named(batches, 'R1-B1');
    expect(fault(await enter(pot, { containers, frozenOn: '2026-11-29' }))).toEqual([
      400,
      'invalid-input',
      '#/frozenOn',
    ]);
    expect(fault(await enter(pot, { containers, frozenOn: '2026-11-24' }))).toEqual([
      400,
      'invalid-input',
      '#/frozenOn',
    ]);
    expect((await enter(pot, { containers, frozenOn: '2026-11-25' })).status).toBe(200);
    const early = await startRound(cooperative, pantry);
    expect(await read(early.id)).toMatchObject({
      stage: 'planning',
      batches: [],
      bases: [{ exact: '17', batches: 2 }],
    });
    const to = { to: 'sharing' };
    const round = await who.ok<RoundAnswer>('GET', `${path}/rounds/${roundId}`);
    const answer = await who.call<Problem>('POST', `${path}/rounds/${roundId}/stage`, to, { ifMatch: round.version });
    expect(fault(answer)).toEqual([409, 'round-not-ready', '#/to', '#/to', '#/to']);
    expect(answer.body.errors?.[0]?.detail).toBe('What came out of R1-A1 (Red base) is not entered');
  });

  it('is not moved by a later version of a recipe', async () => {
    const { roundId, batches } = await cookingRound();
    const pot = pantry.recipes['Mince pot'];
    const { id: ingredientId } = pantry.ingredients['Lentils'] ?? { id: '' };
    const next = {
      makes: { quantity: '1', unit: 'kg' },
      months: 1,
      monthsSource: 'Invented for this test',
      lines: [{ ingredientId, quantity: '1', unit: 'kg' }],
    };
    await who.ok('POST', `${path}/recipes/${pot?.id}/versions`, next, { ifMatch: pot?.version ?? 1 });
    expect(named((await read(roundId)).batches, 'R1-B1')).toEqual(named(batches, 'R1-B1'));
    await addRecipe(who, path, { ...next, name: 'Another' });
  });

  describe('a cooling log', () => {
    const at = (minutes: number): string => new Date(NOW.getTime() + minutes * 60_000).toISOString();
    const measure = ({ id }: Batch, minutes: number, celsius: string, fields: object = {}) =>
      who.call<Batch & Problem>('POST', `${path}/batches/${id}/readings`, {
        ...{ rule: 'cooked', startedAt: at(-60), measuredAt: at(minutes), celsius },
        ...fields,
      });
    const begin = async (): Promise<{ roundId: string; pot: Batch }> => {
      const { roundId, batches } = await cookingRound();
      return { roundId, pot: named(batches, 'R1-B1') };
    };

    it('is empty at first, and judged by its readings in order of when they were measured', async () => {
      const { roundId, pot } = await begin();
      expect(pot.cooling).toBeNull();
      const first = await measure(pot, -30, '44.5');
      expect([first.status, first.body.cooling?.verdict]).toEqual([201, 'due']);
      // It was measured before the one that came in first.
      await measure(pot, -60, '57');
      const { cooling } = named((await read(roundId)).batches, 'R1-B1');
      expect(cooling).toMatchObject({
        rule: 'cooked',
        startedAt: at(-60),
        verdict: 'due',
        readings: [
          { measuredAt: at(-60), celsius: '57' },
          { measuredAt: at(-30), celsius: '89/2' },
        ],
        stages: [
          { limitCelsius: '21', by: at(60), reachedBetween: null, verdict: 'due' },
          { limitCelsius: '5', by: at(300), reachedBetween: null, verdict: 'due' },
        ],
        next: { code: 'measure', by: at(15) },
      });
      expect(cooling?.readings[0]?.household.name).toBe('Alder');
    });

    it('is within its limits at 120 minutes and too warm at 121, and counts from the earliest start', async () => {
      const { roundId, pot } = await begin();
      api.config.now = new Date(at(60));
      expect((await measure(pot, 60, '21')).body.cooling?.stages[0]?.verdict).toBe('within');
      const earlier = await measure(pot, -60, '57', { startedAt: at(-61) });
      expect(earlier.body.cooling).toMatchObject({
        startedAt: at(-61),
        verdict: 'failed',
        next: { code: 'throw-away' },
      });
      expect(named((await read(roundId)).batches, 'R1-B1').version).toBe(pot.version);
    });

    it('refuses a reading that cannot be, and writes nothing', async () => {
      const { roundId, pot } = await begin();
      await measure(pot, -30, '40');
      expect(fault(await measure(pot, 6, '30'))).toEqual([400, 'invalid-input', '#/measuredAt']);
      expect(fault(await measure(pot, -61, '30'))).toEqual([400, 'invalid-input', '#/measuredAt']);
      expect(fault(await measure(pot, -1, '30', { rule: 'from-room-temperature' }))).toEqual([
        400,
        'invalid-input',
        '#/rule',
      ]);
      expect(fault(await measure(pot, -1, 'warm'))).toEqual([400, 'invalid-input', '#/celsius']);
      expect(fault(await measure(pot, -1, '200'))).toEqual([400, 'invalid-input', '#/celsius']);
      expect(named((await read(roundId)).batches, 'R1-B1').cooling?.readings).toHaveLength(1);
    });

    it('takes no reading from another cooperative', async () => {
      const { pot } = await begin();
      const theirs = await buildCooperative(api, { households: HOUSEHOLDS });
      const foreign = await theirs.coordinator.call<Problem>('POST', `${theirs.path}/batches/${pot.id}/readings`, {
        ...{ rule: 'cooked', startedAt: at(-60), measuredAt: at(-30), celsius: '40' },
      });
      expect([foreign.status, foreign.body.code]).toEqual([404, 'not-found']);
    });

    it('stays as it was written: the application may neither change nor delete a reading', async () => {
      const { pot } = await begin();
      await measure(pot, -30, '40');
      await withClient(api.database.ownerUrl, async (client) => {
        await client.query(`SELECT set_config('app.cooperative_id', $1, false)`, [cooperative.id]);
        for (const change of ['UPDATE probe_reading SET celsius = 5', 'DELETE FROM probe_reading'])
          await expect(client.query(change)).rejects.toThrow(/append-only/);
      });
      await withClient(api.database.appUrl, async (client) => {
        const { rows } = await client.query('SELECT * FROM probe_reading');
        expect(rows).toEqual([]);
        for (const change of ['UPDATE probe_reading SET celsius = 5', 'DELETE FROM probe_reading'])
          await expect(client.query(change)).rejects.toThrow(/permission denied/);
      });
    });
  });
});
