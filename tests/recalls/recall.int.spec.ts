import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { freezer, lot, recall, recalls, recallTrace } from '@frostmoot/contract';
import { randomUUID } from 'node:crypto';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api, type Client } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';

type Recall = z.infer<typeof recall>;
type Trace = z.infer<typeof recallTrace>;

const NOW = new Date('2026-11-22T10:00:00Z');

describe('a recall', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let shared: SharedRound;
  let coordinator: Client;
  let path: string;
  let lotId: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, {
      households: [{ name: 'Alder' }, { name: 'Birch' }, { name: 'Cedar' }, { name: 'Dogwood' }],
    });
    ({ coordinator, path } = cooperative);
    shared = await buildSharedRound(api, cooperative, {
      number: 1,
      dishes: [
        { name: 'Stew', containers: [4, 4, 4, 4, 4, 4] },
        { name: 'Pie', containers: [4, 4, 4] },
      ],
      participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' })),
    });
    await buyMince();
  });
  afterAll(async () => {
    const broken = await query('SELECT * FROM broken_invariant_recall');
    await api.stop();
    expect(broken).toEqual([]);
  });

  const query = async <Row = Record<string, unknown>>(sql: string, values: unknown[] = []): Promise<Row[]> =>
    withClient(api.database.ownerUrl, async (client) => (await client.query(sql, values)).rows as Row[]);
  const idOf = (name: string) => cooperative.household(name).id;
  const report = async (id: string): Promise<NonNullable<Recall['report']>> =>
    (await coordinator.ok<Recall>('GET', `${path}/recalls/${id}`)).report as NonNullable<Recall['report']>;
  const held = async (name: string) =>
    (await cooperative.household(name).client.ok<z.infer<typeof freezer>>('GET', `${path}/freezer`)).items;
  const start = (drill: boolean, source = 'lot', sourceId = lotId) =>
    coordinator.ok<Recall>('POST', `${path}/recalls`, { source, sourceId, drill, reference: '2026-311' });
  const answer = (name: string, id: string, answers: object[], householdId: string | null = idOf(name)) =>
    cooperative.household(name).client.call<Recall>('POST', `${path}/recalls/${id}/answers`, { householdId, answers });

  /** A receipt line of mince with two lots, of which the first went into the stew. */
  async function buyMince(): Promise<void> {
    const { id: ingredientId } = await coordinator.ok<{ id: string }>('POST', `${path}/ingredients`, {
      name: 'Mince',
      baseUnit: 'g',
    });
    const [sellerId, receiptId, lineId] = [randomUUID(), randomUUID(), randomUUID()];
    const values = [cooperative.id, sellerId, receiptId, shared.id, idOf('Alder'), lineId, ingredientId];
    await query(`INSERT INTO seller (cooperative_id, id, name) VALUES ($1, $2, 'Mill')`, values.slice(0, 2));
    await withClient(api.database.ownerUrl, async (client) => {
      await client.query('BEGIN');
      await client.query(
        `INSERT INTO receipt (cooperative_id, id, round_id, seller_id, paid_by_household_id, bought_on, total_minor, created_by)
         VALUES ($1, $3, $4, $2, $5, '2026-11-18', 0, $5)`,
        values.slice(0, 5),
      );
      await client.query(
        `INSERT INTO receipt_line (cooperative_id, id, receipt_id, position, kind, ingredient_id, label, amount_minor, shares, amounts)
         VALUES ($1, $3, $2, 0, 'goods', $4, 'Mince, 5 kg', 0, '{}', '{}')`,
        [cooperative.id, receiptId, lineId, ingredientId],
      );
      await client.query('COMMIT');
    });
    const save = (code: string) =>
      coordinator.ok<z.infer<typeof lot>>('POST', `${path}/lots`, {
        receiptLineId: lineId,
        code,
        bestBefore: '2026-12-01',
      });
    lotId = (await save('4471')).id;
    await save('4472');
    // Both dishes are made with it; which lot is in the pie nobody has said.
    await query(
      `INSERT INTO recipe_line (cooperative_id, id, recipe_version_id, position, ingredient_id, quantity, unit)
       SELECT cooperative_id, gen_random_uuid(), recipe_version_id, 90, $2, '1', 'kg' FROM batch WHERE cooperative_id = $1`,
      [cooperative.id, ingredientId],
    );
    await coordinator.ok('POST', `${path}/batches/${shared.batches['Stew']}/lots`, { lotIds: [lotId] });
  }

  it('finds what was told for sure, and what may contain it where nobody said', async () => {
    const traced = await coordinator.ok<Trace>('GET', `${path}/recall-trace?source=lot&sourceId=${lotId}`);
    expect(traced).toMatchObject({ what: 'Mince', lotCode: '4471', containers: 9, households: 3 });
    expect(traced.batches.map(({ dish, sure, containers }) => [dish, sure, containers]).sort()).toEqual([
      ['Pie', false, 3],
      ['Stew', true, 6],
    ]);
    // Of the other lot the stew is free, since its own was told.
    const [other] = await query<{ id: string }>(`SELECT id FROM ingredient_lot WHERE code = '4472'`);
    const second = await coordinator.ok<Trace>('GET', `${path}/recall-trace?source=lot&sourceId=${other?.id}`);
    expect(second.batches.map(({ dish, sure }) => [dish, sure])).toEqual([['Pie', false]]);
    const batch = `${path}/recall-trace?source=batch&sourceId=${shared.batches['Pie']}`;
    expect((await coordinator.ok<Trace>('GET', batch)).batches).toMatchObject([{ dish: 'Pie', sure: true }]);
    const { client } = cooperative.household('Birch');
    expect((await client.call('GET', batch)).status).toBe(403);
  });

  it('as a drill reports what was swapped twice, moved and eaten, and changes no container', async () => {
    const [first] = (await held('Alder')).filter(({ dish }) => dish === 'Stew');
    const swap = async (from: string, to: string, give: string) => {
      const [back] = (await held(to)).filter(({ dish }) => dish === 'Stew');
      const proposal = await cooperative
        .household(from)
        .client.ok<{ id: string; version: number }>('POST', `${path}/swaps`, {
          fromHouseholdId: idOf(from),
          toHouseholdId: idOf(to),
          giveContainerIds: [give],
          getContainerIds: [back?.id],
        });
      await cooperative
        .household(to)
        .client.ok('POST', `${path}/swaps/${proposal.id}/answer`, { answer: 'accept' }, { ifMatch: proposal.version });
    };
    await swap('Alder', 'Birch', first?.id ?? '');
    await swap('Birch', 'Cedar', first?.id ?? '');
    const cedar = cooperative.household('Cedar').client;
    const now = (await held('Cedar')).find(({ id }) => id === first?.id);
    await cedar.ok('PATCH', `${path}/containers/${first?.id}`, { place: 'Top drawer' }, { ifMatch: now?.version ?? 0 });
    const [toEat] = (await held('Birch')).filter(({ dish }) => dish === 'Stew');
    await cooperative
      .household('Birch')
      .client.ok('POST', `${path}/containers/${toEat?.id}/end`, { state: 'eaten' }, { ifMatch: toEat?.version ?? 0 });

    const before = await query('SELECT id, state, holder_household_id, version FROM container ORDER BY id');
    const { id, drill } = await start(true);
    const found = await report(id);
    expect(drill).toBe(true);
    expect(found.counts).toMatchObject({ all: 9, portions: 36, eaten: 1, none: 8, setApart: 0 });
    const { mine } = await cedar.ok<Recall>('GET', `${path}/recalls/${id}`);
    expect(mine).toContainEqual(
      expect.objectContaining({ id: first?.id, place: 'Top drawer', fate: 'none', sure: true }),
    );
    // Where it lies in another home is not the coordinator's to know.
    expect(found.containers.find((container) => container.id === first?.id)).toMatchObject({
      household: { name: 'Cedar' },
      place: '',
    });
    expect(found.containers.find((container) => container.id === toEat?.id)).toMatchObject({
      household: { name: 'Birch' },
      fate: 'eaten',
    });
    const notices = await cedar.ok<{ items: { kind: string; facts: object }[] }>('GET', `${path}/notices`);
    expect(notices.items[0]).toMatchObject({ kind: 'recall-drill', facts: { what: 'Mince', lot: '4471', sure: 'no' } });
    const answered = mine.map((container) => ({ containerId: container.id, answer: 'set-apart' }));
    expect((await answer('Cedar', id, answered)).body.mine.every(({ fate }) => fate === 'set-apart')).toBe(true);
    expect(await query('SELECT id, state, holder_household_id, version FROM container ORDER BY id')).toEqual(before);
    await coordinator.ok('POST', `${path}/recalls/${id}/close`, { words: 'Long enough for a drill' });
  });

  it('takes every container out of use and tells each household at once', async () => {
    const { id } = await start(false);
    for (const name of ['Alder', 'Birch', 'Cedar']) {
      expect((await held(name)).filter(({ dish }) => dish === 'Stew')).toEqual([]);
      const { unseen, items } = await cooperative
        .household(name)
        .client.ok<{ unseen: number; items: { kind: string }[] }>('GET', `${path}/notices`);
      expect([unseen > 0, items[0]?.kind]).toEqual([true, 'recall']);
    }
    expect((await cooperative.household('Dogwood').client.ok<{ items: [] }>('GET', `${path}/notices`)).items).toEqual(
      [],
    );
    // Neither eaten without the answer, nor swapped, nor claimed.
    const [mine] = (await coordinator.ok<Recall>('GET', `${path}/recalls/${id}`)).mine;
    const [row] = await query<{ version: number }>('SELECT version FROM container WHERE id = $1', [mine?.id]);
    const call = (rest: string, body: object) =>
      coordinator.call('POST', `${path}/containers/${mine?.id}/${rest}`, body, { ifMatch: row?.version ?? 0 });
    expect((await call('end', { state: 'eaten' })).status).toBe(409);
    expect((await call('claim', { householdId: idOf('Alder') })).status).toBe(409);
    const other = (await report(id)).containers.find(({ household }) => household?.name === 'Cedar');
    const swap = { fromHouseholdId: idOf('Alder'), toHouseholdId: idOf('Cedar') };
    const proposal = { ...swap, giveContainerIds: [mine?.id], getContainerIds: [other?.id] };
    expect((await coordinator.call('POST', `${path}/swaps`, proposal)).body).toMatchObject({ code: 'not-swappable' });
  });

  it('keeps each answer, counts every container once, and shows a household its own alone', async () => {
    const [{ id } = { id: '' }] = await query<{ id: string }>(`SELECT id FROM recall WHERE NOT drill`);
    const birch = cooperative.household('Birch').client;
    const seen = await birch.ok<Recall>('GET', `${path}/recalls/${id}`);
    expect(seen.report).toBeNull();
    expect(new Set(seen.mine.map(({ household }) => household?.name))).toEqual(new Set(['Birch']));
    const open = seen.mine.filter(({ fate }) => fate === 'none').map((container) => container.id);
    expect(open.length).toBeGreaterThan(1);
    const answers = open.map((containerId, index) =>
      index === 0 ? { containerId, answer: 'eaten', eatenOn: '2026-11-21' } : { containerId, answer: 'not-found' },
    );
    // Somebody else's, and a day that has not come.
    const foreign = (await report(id)).containers.find(({ household }) => household?.name === 'Cedar')?.id;
    expect((await answer('Birch', id, [{ containerId: foreign, answer: 'eaten' }])).status).toBe(404);
    const tomorrow = await answer('Birch', id, [{ containerId: open[0], answer: 'eaten', eatenOn: '2026-11-23' }]);
    expect(tomorrow).toMatchObject({ status: 400, body: { errors: [{ pointer: '#/answers/0/eatenOn' }] } });
    expect((await answer('Birch', id, answers)).status).toBe(200);
    // Found again after all: the newest answer counts.
    await answer('Birch', id, [{ containerId: open[1], answer: 'set-apart' }]);
    const { counts, households } = await report(id);
    const { all, portions, ...parts } = counts;
    expect([all, portions]).toEqual([9, 36]);
    expect(Object.values(parts).reduce((sum, n) => sum + n)).toBe(9);
    expect(parts).toMatchObject({ setApart: 1, eaten: 2 });
    const states = households.map(({ household, state }) => [household?.name, state]);
    // Nobody of the others has looked at the notice yet, and there is no mail: they are first.
    expect(states).toEqual([
      ['Alder', 'not-reached'],
      ['Cedar', 'not-reached'],
      ['Birch', 'answered'],
    ]);
    const { items } = await cooperative
      .household('Cedar')
      .client.ok<{ items: { id: string }[] }>('GET', `${path}/notices`);
    await cooperative.household('Cedar').client.ok('POST', `${path}/notices/${items[0]?.id}/seen`);
    expect((await report(id)).households[1]).toMatchObject({
      household: { name: 'Cedar' },
      state: 'seen',
      seenBy: [{}],
    });
    expect((await coordinator.ok<z.infer<typeof recalls>>('GET', `${path}/recalls`)).items[0]?.toAnswer).toBe(3);
    // A coordinator answers for whom they have called; a household for itself alone.
    expect((await answer('Birch', id, [{ containerId: foreign, answer: 'set-apart' }], idOf('Cedar'))).status).toBe(
      403,
    );
    const forCedar = await answer('Alder', id, [{ containerId: foreign, answer: 'set-apart' }], idOf('Cedar'));
    expect(forCedar.status).toBe(200);
    expect((await answer('Birch', id, [{ containerId: foreign, answer: 'set-apart' }], null)).status).toBe(403);
  });

  it('reminds, and closes with a reason where an answer is missing', async () => {
    const [{ id } = { id: '' }] = await query<{ id: string }>(`SELECT id FROM recall WHERE NOT drill`);
    const cedar = cooperative.household('Cedar').client;
    await coordinator.ok('POST', `${path}/recalls/${id}/remind`, { householdId: idOf('Cedar') });
    expect((await cedar.ok<{ unseen: number }>('GET', `${path}/notices`)).unseen).toBeGreaterThan(0);
    expect(
      (await coordinator.call('POST', `${path}/recalls/${id}/remind`, { householdId: idOf('Dogwood') })).status,
    ).toBe(404);
    expect((await cedar.call('POST', `${path}/recalls/${id}/close`, { words: 'Enough' })).status).toBe(403);
    const refused = await coordinator.call('POST', `${path}/recalls/${id}/close`, {});
    expect(refused).toMatchObject({ status: 400, body: { errors: [{ pointer: '#/words' }] } });
    const closed = await coordinator.ok<Recall>('POST', `${path}/recalls/${id}/close`, {
      words: 'Called, nobody at home',
    });
    expect(closed).toMatchObject({ closedAt: NOW.toISOString(), closedWords: 'Called, nobody at home' });
    expect((await answer('Cedar', id, [{ containerId: closed.mine[0]?.id, answer: 'eaten' }])).body).toMatchObject({
      code: 'conflict',
    });
    const [notice] = (await cedar.ok<{ items: { kind: string }[] }>('GET', `${path}/notices`)).items;
    expect(notice?.kind).toBe('recall-closed');
  });

  it('can be begun by nobody but a coordinator; a suspicion by any adult goes to them', async () => {
    const birch = cooperative.household('Birch').client;
    const body = { source: 'batch', sourceId: shared.batches['Pie'], drill: true };
    expect((await birch.call('POST', `${path}/recalls`, body)).status).toBe(403);
    const [container] = await query<{ id: string }>('SELECT id FROM container WHERE holder_household_id = $1', [
      idOf('Birch'),
    ]);
    const told = await birch.ok<z.infer<typeof recalls>>('POST', `${path}/suspicions`, {
      containerId: container?.id,
      reason: 'mould',
      words: 'Green spots',
    });
    expect(told.suspicions).toMatchObject([{ reason: 'mould', household: { name: 'Birch' } }]);
    const [notice] = (await coordinator.ok<{ items: { kind: string; facts: object }[] }>('GET', `${path}/notices`))
      .items;
    expect(notice).toMatchObject({
      kind: 'suspicion',
      facts: { household: 'Birch', reason: 'mould', words: 'Green spots' },
    });
    expect(
      (await cooperative.household('Cedar').client.ok<z.infer<typeof recalls>>('GET', `${path}/recalls`)).suspicions,
    ).toEqual([]);
  });
});
