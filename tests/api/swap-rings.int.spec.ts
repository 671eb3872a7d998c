import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { freezer } from '@frostmoot/contract';
import { randomUUID } from 'node:crypto';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { startApi, type Api } from './harness.ts';

type Freezer = z.infer<typeof freezer>;
const names = ['Alder', 'Birch', 'Cedar'];
const dishes = ['Stew', 'Pie', 'Soup'];

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
let swappers: Swappers;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api, { households: [...names, 'Dogwood'].map((name) => ({ name })) });
  round = await buildSharedRound(api, cooperative, {
    dishes: [
      { name: 'Stew', containers: [3, 3, 3, 3, 3, 3] },
      { name: 'Pie', containers: [3, 3, 3, 3, 3, 3], unfitFor: ['wheat'] },
      { name: 'Soup', containers: [2, 2, 2, 2, 2, 2] },
    ],
    participants: names.map((household) => ({ household, weight: '2' })),
  });
  swappers = new Swappers(api, cooperative);
});

const rows = <T extends object>(sql: string, values: unknown[] = []) =>
  withClient(api.database.ownerUrl, async (client) => (await client.query<T>(sql, [cooperative.id, ...values])).rows);
const recipe = (dish: string) => round.containers.find((box) => box.dish === dish)!.recipeId;
const boxOf = (household: string, dish: string, which = 0) =>
  round.of(household).filter((box) => box.dish === dish)[which]!.id;
const holdersOf = async (...ids: string[]) => {
  const found = await rows<{ id: string; name: string | null }>(
    `SELECT c.id, h.name FROM container c LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
     WHERE c.cooperative_id = $1 AND c.id = ANY($2)`,
    [ids],
  );
  return ids.map((id) => found.find((row) => row.id === id)?.name);
};
const balances = async () =>
  Object.fromEntries(
    (
      await rows<{ name: string; balance: string }>(
        `SELECT h.name, a.balance FROM account a JOIN household h ON h.cooperative_id = a.cooperative_id AND h.id = a.household_id
         WHERE a.cooperative_id = $1 AND a.book = 'portions'`,
      )
    ).map(({ name, balance }) => [name, Number(balance) / 1_000_000]),
  );
const end = (name: string, id: string) =>
  cooperative
    .household(name)
    .client.call('POST', `${cooperative.path}/containers/${id}/end`, { state: 'eaten' }, { ifMatch: 2 });
const mustNotEat = (name: string, subject: string) =>
  rows(
    `WITH d AS (INSERT INTO diner (cooperative_id, id, household_id, name, age_band) VALUES ($1, $2, $3, 'Nura', 'child') RETURNING id)
     INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by) SELECT $1, $4, d.id, $5, 'hard', $6 FROM d`,
    [randomUUID(), cooperative.household(name).id, randomUUID(), subject, cooperative.household(name).personId],
  );

/** Each offers one dish and wishes for that of the one before: Alder's stew to Birch, Birch's pie to Cedar, Cedar's soup to Alder. */
async function ringOfThree() {
  const boxes = names.map((name, at) => boxOf(name, dishes[at]!));
  for (const [at, name] of names.entries()) {
    expect((await swappers.offer(name, boxes[at]!)).status).toBe(201);
    expect((await swappers.wish(name, recipe(dishes[(at + 2) % 3]!))).status).toBe(201);
  }
  const [id, ...others] = await swappers.search();
  expect(others).toEqual([]);
  return { id: id!, boxes };
}

describe('what a household holds out', () => {
  it('is seen by the others, and taken back', async () => {
    const pie = boxOf('Birch', 'Pie');
    const { body } = await swappers.offer('Birch', pie);
    expect(body.items).toMatchObject([{ container: { id: pie }, inRing: false, version: 1 }]);
    expect((await swappers.board('Cedar')).othersOffer).toEqual([pie]);
    expect((await swappers.board('Birch')).othersOffer).toEqual([]);
    const standing = async (name: string, containerId: string) => {
      const { client } = cooperative.household(name);
      const { items } = await client.ok<Freezer>('GET', `${cooperative.path}/freezer`);
      return items.find(({ id }) => id === containerId)?.standing;
    };
    expect(await standing('Birch', pie)).toBe('held-out');
    const [give, get] = [boxOf('Cedar', 'Soup'), boxOf('Birch', 'Stew')];
    await cooperative.household('Cedar').client.ok('POST', `${cooperative.path}/swaps`, {
      fromHouseholdId: cooperative.household('Cedar').id,
      toHouseholdId: cooperative.household('Birch').id,
      giveContainerIds: [give],
      getContainerIds: [get],
    });
    expect([await standing('Cedar', give), await standing('Birch', get)]).toEqual(['offered', 'asked']);
    expect(await standing('Birch', boxOf('Birch', 'Pie', 1))).toBeNull();
    // Once more changes nothing.
    expect((await swappers.offer('Birch', pie)).body.items).toMatchObject([{ id: body.items[0]!.id, version: 1 }]);
    const path = `${cooperative.path}/swap-offers/${body.items[0]!.id}`;
    const { client } = cooperative.household('Birch');
    expect((await cooperative.household('Cedar').client.call('DELETE', path, undefined, { ifMatch: 1 })).status).toBe(
      403,
    );
    expect((await client.call('DELETE', path, undefined, { ifMatch: 7 })).status).toBe(412);
    expect((await client.call('DELETE', path, undefined, { ifMatch: 1 })).status).toBe(204);
    expect((await client.call('DELETE', path, undefined, { ifMatch: 2 })).status).toBe(404);
    expect((await swappers.board('Cedar')).othersOffer).toEqual([]);
  });

  it('leaves the offer when it is eaten, released, swapped or claimed', async () => {
    const [eaten, released, swapped] = [0, 1]
      .map((which) => boxOf('Birch', 'Pie', which))
      .concat(boxOf('Birch', 'Stew'));
    await swappers.offer('Birch', eaten!, released!, swapped!);
    const { client, id } = cooperative.household('Birch');
    expect((await end('Birch', eaten!)).status).toBe(200);
    await client.ok('POST', `${cooperative.path}/containers/${released}/release`, { householdId: id });
    const proposed = await client.ok<{ id: string }>('POST', `${cooperative.path}/swaps`, {
      fromHouseholdId: id,
      toHouseholdId: cooperative.household('Cedar').id,
      giveContainerIds: [swapped],
      getContainerIds: [boxOf('Cedar', 'Soup')],
    });
    await cooperative
      .household('Cedar')
      .client.ok('POST', `${cooperative.path}/swaps/${proposed.id}/answer`, { answer: 'accept' }, { ifMatch: 1 });
    expect((await swappers.board('Birch')).offers).toEqual([]);
    expect(await rows(`SELECT DISTINCT ended_reason FROM swap_offer WHERE cooperative_id = $1`)).toEqual([
      { ended_reason: 'gone' },
    ]);
  });

  it('must be its own, and sealed', async () => {
    const pie = boxOf('Birch', 'Pie');
    expect(await swappers.offer('Cedar', pie)).toMatchObject({ status: 409, body: { code: 'not-swappable' } });
    await end('Birch', pie);
    expect(await swappers.offer('Birch', pie)).toMatchObject({ status: 409, body: { code: 'not-swappable' } });
    expect((await swappers.offer('Birch', randomUUID())).status).toBe(404);
  });
});

describe('what a household wishes for', () => {
  it('says how much of it is held out, and one for the same dish takes its place', async () => {
    await swappers.offer('Birch', boxOf('Birch', 'Pie', 0), boxOf('Birch', 'Pie', 1));
    const { body } = await swappers.wish('Cedar', recipe('Pie'), 1);
    expect(body).toMatchObject({ dish: { name: 'Pie' }, containers: 1, score: 2, offered: 2, inRings: 0, version: 1 });
    expect((await swappers.wish('Cedar', recipe('Pie'), 3, 1)).body).toMatchObject({
      ...{ id: body.id, containers: 3, score: 1, version: 2 },
    });
    const path = `${cooperative.path}/swap-wishes/${body.id}`;
    const { client } = cooperative.household('Cedar');
    expect((await client.call('DELETE', path, undefined, { ifMatch: 1 })).status).toBe(412);
    expect((await client.call('DELETE', path, undefined, { ifMatch: 2 })).status).toBe(204);
    expect((await swappers.board('Cedar')).wishes).toEqual([]);
  });

  it('is nothing that a diner must not eat, and is passed over when that is learnt later', async () => {
    const { body } = await swappers.wish('Cedar', recipe('Pie'));
    await mustNotEat('Cedar', 'wheat');
    const board = await swappers.board('Cedar');
    expect(board.wishes).toMatchObject([{ id: body.id, unfit: ['wheat'], offered: 0 }]);
    expect(board.dishes.map(({ name }) => name)).toEqual(['Soup', 'Stew']);
    expect(await swappers.wish('Cedar', recipe('Pie'))).toMatchObject({
      status: 409,
      body: { code: 'excluded-food', params: { subjects: 'wheat' } },
    });
    await swappers.offer('Birch', boxOf('Birch', 'Pie'));
    await swappers.offer('Cedar', boxOf('Cedar', 'Stew'));
    await swappers.wish('Birch', recipe('Stew'));
    expect(await swappers.search()).toEqual([]);
    expect(JSON.stringify(await swappers.board('Birch'))).not.toMatch(/Nura|"unfit":\["wheat/);
  });
});

describe('a ring of three', () => {
  it('moves everything when the last says yes, and books what each gave and got', async () => {
    const { id, boxes } = await ringOfThree();
    const seen = await swappers.ring('Birch', id);
    expect(seen).toMatchObject({ state: 'proposed', openUntil: '2026-11-26T10:00:00.000Z', unfit: [] });
    expect(
      seen.steps.map(({ giver, receiver, containers }) => [giver.name, receiver.name, containers[0]?.dish]),
    ).toEqual([
      ['Birch', 'Cedar', 'Pie'],
      ['Cedar', 'Alder', 'Soup'],
      ['Alder', 'Birch', 'Stew'],
    ]);
    expect(seen.members.map(({ portionsGiven, portionsGot }) => [portionsGiven, portionsGot])).toEqual([
      [3, 3],
      [2, 3],
      [3, 2],
    ]);
    const before = await balances();
    expect(await swappers.answer('Birch', id)).toMatchObject({ status: 200, body: { state: 'proposed' } });
    expect(await swappers.answer('Alder', id)).toMatchObject({ status: 200, body: { state: 'proposed' } });
    expect((await swappers.ring('Cedar', id)).members.map(({ answer }) => answer)).toEqual([
      null,
      'accepted',
      'accepted',
    ]);
    expect(await holdersOf(...boxes)).toEqual(names);
    expect(await swappers.answer('Cedar', id)).toMatchObject({ status: 200, body: { state: 'done' } });
    expect(await holdersOf(...boxes)).toEqual(['Birch', 'Cedar', 'Alder']);
    const after = await balances();
    expect(names.map((name) => after[name]! - before[name]!)).toEqual([1, 0, -1]);
    for (const name of names) expect(await swappers.board(name)).toMatchObject({ rings: [], offers: [], wishes: [] });
    expect((await swappers.board('Dogwood')).endedRings).toEqual([]);
  });

  it('is nobody else’s, and an answer is from what was read', async () => {
    const { id } = await ringOfThree();
    expect((await swappers.answer('Dogwood', id, 'accept', 1)).status).toBe(404);
    const { client } = cooperative.household('Birch');
    const path = `${cooperative.path}/swap-rings/${id}/answer`;
    const cedar = { householdId: cooperative.household('Cedar').id, answer: 'accept' };
    expect((await client.call('POST', path, cedar, { ifMatch: 1 })).status).toBe(403);
    expect((await swappers.answer('Birch', id, 'accept', 4)).status).toBe(412);
    // The answers of others do not come between.
    await swappers.answer('Alder', id, 'accept', 1);
    expect((await swappers.answer('Birch', id, 'accept', 1)).status).toBe(200);
  });

  it('does not happen when one declines, also after a yes, and is not found again', async () => {
    const { id, boxes } = await ringOfThree();
    await swappers.answer('Alder', id);
    expect(await swappers.answer('Alder', id, 'decline')).toMatchObject({ status: 200, body: { state: 'declined' } });
    expect(await swappers.answer('Cedar', id)).toMatchObject({
      status: 409,
      body: { code: 'swap-closed', params: { state: 'declined' } },
    });
    expect(await holdersOf(...boxes)).toEqual(names);
    expect((await swappers.ring('Birch', id)).members.find(({ answer }) => answer === 'declined')?.household.name).toBe(
      'Alder',
    );
    expect(await swappers.search()).toEqual([]);
    // Another container of the same dish is another ring.
    await swappers.offer('Alder', boxOf('Alder', 'Stew', 1));
    const offer = (await swappers.board('Alder')).offers.find(({ container }) => container.id === boxes[0])!;
    const path = `${cooperative.path}/swap-offers/${offer.id}`;
    await cooperative.household('Alder').client.ok('DELETE', path, undefined, { ifMatch: offer.version });
    expect(await swappers.search()).toHaveLength(1);
  });

  it('lapses at once when a container is eaten or released, and says which', async () => {
    const { id, boxes } = await ringOfThree();
    await swappers.answer('Birch', id);
    await end('Cedar', boxes[2]!);
    const code = round.containers.find((box) => box.id === boxes[2])?.code;
    for (const name of names)
      expect(await swappers.ring(name, id)).toMatchObject({
        state: 'lapsed',
        reason: 'gone',
        gone: { code, dish: 'Soup' },
      });
    expect(await swappers.answer('Alder', id)).toMatchObject({
      status: 409,
      body: { code: 'swap-closed', params: { state: 'lapsed', reason: 'gone', dish: 'Soup' } },
    });
    expect(await holdersOf(...boxes.slice(0, 2))).toEqual(['Alder', 'Birch']);
    expect(
      await rows(`SELECT 1 FROM outbox WHERE cooperative_id = $1 AND topic = 'swaps' AND subject_id = $2 OFFSET 2`, [
        id,
      ]),
    ).toHaveLength(1);
  });

  it('lapses when it is released and claimed by another', async () => {
    const { id, boxes } = await ringOfThree();
    const { client, id: alder } = cooperative.household('Alder');
    await client.ok('POST', `${cooperative.path}/containers/${boxes[0]}/release`, { householdId: alder });
    await cooperative.household('Cedar').client.ok('POST', `${cooperative.path}/containers/${boxes[0]}/claim`, {
      householdId: cooperative.household('Cedar').id,
    });
    expect(await swappers.ring('Birch', id)).toMatchObject({ state: 'lapsed', reason: 'gone' });
    expect(await holdersOf(...boxes)).toEqual(['Cedar', 'Birch', 'Cedar']);
  });

  it('lapses when nobody answers in time, and that is told whoever reads it', async () => {
    const { id, boxes } = await ringOfThree();
    const toDo = async (name: string) => {
      const { tasks } = await cooperative
        .household(name)
        .client.ok<{ tasks: { kind: string; path: string }[] }>('GET', `${cooperative.path}/this-week`);
      return tasks.filter(({ kind }) => kind === 'answer-ring');
    };
    expect(await toDo('Birch')).toMatchObject([{ path: `/swaps?ring=${id}`, due: expect.any(String) }]);
    expect(await toDo('Dogwood')).toEqual([]);
    await swappers.answer('Birch', id);
    expect(await toDo('Birch')).toEqual([]);
    // Nothing ran for ten days.
    await rows(`UPDATE swap_ring SET open_until = '2026-11-13T10:00:00Z' WHERE cooperative_id = $1`);
    expect(await swappers.ring('Alder', id)).toMatchObject({ state: 'lapsed', reason: 'unanswered' });
    expect((await swappers.board('Alder')).offers).toMatchObject([{ inRing: false }]);
    expect(await swappers.answer('Alder', id)).toMatchObject({ status: 409, body: { code: 'swap-closed' } });
    expect(await rows(`SELECT state, reason FROM swap_ring WHERE cooperative_id = $1`)).toEqual([
      { state: 'lapsed', reason: 'unanswered' },
    ]);
    expect(await holdersOf(...boxes)).toEqual(names);
    // Everybody in it is told, once, and nobody else.
    await swappers.search();
    for (const name of [...names, 'Dogwood']) {
      const { items } = await cooperative
        .household(name)
        .client.ok<{ items: { kind: string; subjectId: string; facts: object }[] }>(
          'GET',
          `${cooperative.path}/notices`,
        );
      const told = items.filter(({ kind, subjectId }) => kind === 'ring-lapsed' && subjectId === id);
      expect(told.map(({ facts }) => facts)).toEqual(
        name === 'Dogwood' ? [] : [{ households: expect.stringContaining('Birch'), reason: 'unanswered' }],
      );
    }
    // What did not happen may be found again.
    expect((await swappers.board('Alder')).rings).toHaveLength(1);
  });

  it('asks nobody to take what a diner must not eat, and tells the others nothing of it', async () => {
    const { id, boxes } = await ringOfThree();
    await swappers.answer('Alder', id);
    await mustNotEat('Cedar', 'wheat');
    expect((await swappers.ring('Cedar', id)).unfit).toEqual(['wheat']);
    expect(await swappers.answer('Cedar', id)).toMatchObject({
      status: 409,
      body: { code: 'excluded-food', params: { subjects: 'wheat' } },
    });
    for (const name of ['Alder', 'Birch']) expect((await swappers.ring(name, id)).unfit).toEqual([]);
    expect(JSON.stringify(await swappers.board('Alder'))).not.toMatch(/Nura|"unfit":\["wheat/);
    expect(await holdersOf(...boxes)).toEqual(names);
  });

  it('lapses without a reason when one who has said yes must not eat its part by now', async () => {
    const { id, boxes } = await ringOfThree();
    await swappers.answer('Cedar', id);
    await swappers.answer('Alder', id);
    await mustNotEat('Cedar', 'wheat');
    const last = await swappers.answer('Birch', id);
    expect(last).toMatchObject({ status: 409, body: { code: 'not-swappable' } });
    expect(last.text).not.toMatch(/wheat|Cedar/);
    expect(await swappers.ring('Alder', id)).toMatchObject({ state: 'lapsed', reason: 'changed', gone: null });
    expect(await holdersOf(...boxes)).toEqual(names);
  });

  it('keeps to the credit as it is when the last says yes', async () => {
    const { id, boxes } = await ringOfThree();
    await rows(`UPDATE cooperative SET swap_credit_portions = 0 WHERE id = $1`);
    await swappers.answer('Alder', id);
    await swappers.answer('Birch', id);
    expect(await swappers.answer('Cedar', id)).toMatchObject({ status: 409, body: { code: 'not-swappable' } });
    expect(await holdersOf(...boxes)).toEqual(names);
    // And with that credit it is not found in the first place.
    expect(await swappers.search()).toEqual([]);
  });
});

describe('two rings over one container', () => {
  it('cannot both happen: the second lapses as the first is done', async () => {
    const { id, boxes } = await ringOfThree();
    // As two searches at the same moment would leave it, were they not kept apart.
    const second = randomUUID();
    const pie = boxOf('Birch', 'Pie', 1);
    const [alder, birch] = ['Alder', 'Birch'].map((name) => cooperative.household(name).id);
    await rows(
      `INSERT INTO swap_ring (cooperative_id, id, open_until, created_by) VALUES ($1, $2, '2026-11-25T10:00:00Z', $3)`,
      [second, cooperative.household('Alder').personId],
    );
    await rows(
      `INSERT INTO swap_ring_member (cooperative_id, ring_id, household_id, position) VALUES ($1, $2, $3, 0), ($1, $2, $4, 1)`,
      [second, alder, birch],
    );
    await rows(
      `INSERT INTO swap_ring_part (cooperative_id, ring_id, container_id, giver_household_id, receiver_household_id, wish_id)
       SELECT $1::uuid, $2::uuid, x.container, x.giver, x.receiver, (SELECT id FROM swap_wish WHERE cooperative_id = $1 LIMIT 1)
       FROM (VALUES ($3::uuid, $5::uuid, $6::uuid), ($4::uuid, $6::uuid, $5::uuid)) x (container, giver, receiver)`,
      [second, boxes[0], pie, alder, birch],
    );
    expect((await swappers.answer('Alder', second)).status).toBe(200);
    for (const name of names) expect((await swappers.answer(name, id)).text).not.toContain('"status"');
    expect(await swappers.ring('Birch', second)).toMatchObject({ state: 'lapsed', reason: 'gone' });
    expect(await swappers.answer('Birch', second)).toMatchObject({ status: 409, body: { code: 'swap-closed' } });
    expect(await holdersOf(...boxes, pie)).toEqual(['Birch', 'Cedar', 'Alder', 'Birch']);
  });
});
