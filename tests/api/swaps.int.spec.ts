import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import type { swap, swapBoard } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { startApi, type Api } from './harness.ts';

type Swap = z.infer<typeof swap> & { code?: string; params?: Record<string, string> };
type Board = z.infer<typeof swapBoard>;

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());

const draft = {
  dishes: [
    { name: 'Stew', containers: [4, 4, 4] },
    { name: 'Pie', containers: [3, 3, 3], unfitFor: ['wheat'] },
  ],
  participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' })),
};
beforeEach(async () => {
  cooperative = await buildCooperative(api);
  round = await buildSharedRound(api, cooperative, draft);
});

const rows = <T extends object>(sql: string, values: unknown[] = []) =>
  withClient(api.database.ownerUrl, async (client) => (await client.query<T>(sql, [cooperative.id, ...values])).rows);
const boxOf = (household: string, dish: string) => round.of(household).find((box) => box.dish === dish)!.id;
const boardOf = (name: string) => cooperative.household(name).client.ok<Board>('GET', `${cooperative.path}/swaps`);
const propose = (from: string, to: string, gives: string[], gets: string[]) =>
  cooperative.household(from).client.call<Swap>('POST', `${cooperative.path}/swaps`, {
    fromHouseholdId: cooperative.household(from).id,
    toHouseholdId: cooperative.household(to).id,
    giveContainerIds: gives,
    getContainerIds: gets,
    words: 'The children will not eat it',
  });
const answer = (name: string, { id, version }: { id: string; version: number }, body: object) =>
  cooperative
    .household(name)
    .client.call<Swap>('POST', `${cooperative.path}/swaps/${id}/answer`, body, { ifMatch: version });
const holderOf = async (id: string) => {
  const [row] = await rows<{ name: string | null }>(
    `SELECT h.name FROM container c LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
     WHERE c.cooperative_id = $1 AND c.id = $2`,
    [id],
  );
  return row?.name;
};
const mustNotEatWheat = (name: string) =>
  rows(
    `WITH d AS (INSERT INTO diner (cooperative_id, id, household_id, name, age_band) VALUES ($1, $2, $3, 'Nura', 'child') RETURNING id)
     INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by) SELECT $1, $4, d.id, 'wheat', 'hard', $5 FROM d`,
    [randomUUID(), cooperative.household(name).id, randomUUID(), cooperative.household(name).personId],
  );

describe('a swap', () => {
  it('waits for the other household, and moves every part and the portions when it says yes', async () => {
    const [pie, stew] = [boxOf('Birch', 'Pie'), boxOf('Cedar', 'Stew')];
    const proposed = await propose('Birch', 'Cedar', [pie], [stew]);
    expect(proposed).toMatchObject({
      status: 201,
      body: { state: 'proposed', portionsGiven: 3, portionsGot: 4, openUntil: '2026-11-26T10:00:00.000Z' },
    });
    const [cedars, birches] = [await boardOf('Cedar'), await boardOf('Birch')];
    expect(cedars.waitingForMe.map(({ id }) => id)).toEqual([proposed.body.id]);
    expect(cedars.mine.find(({ id }) => id === stew)?.offered).toBe(true);
    expect(birches.waitingForOthers.map(({ id }) => id)).toEqual([proposed.body.id]);

    const done = await answer('Cedar', proposed.body, { answer: 'accept' });
    expect(done).toMatchObject({ status: 200, body: { state: 'done', version: 2 } });
    expect([await holderOf(pie), await holderOf(stew)]).toEqual(['Cedar', 'Birch']);
    // Birch gave 3 and got 4 portions: one ahead; Cedar the other way round.
    const balances = await rows<{ name: string; balance: string }>(
      `SELECT h.name, a.balance FROM account a JOIN household h ON h.cooperative_id = a.cooperative_id AND h.id = a.household_id
       WHERE a.cooperative_id = $1 AND a.book = 'portions' ORDER BY h.name`,
    );
    expect(Object.fromEntries(balances.map(({ name, balance }) => [name, balance]))).toEqual({
      Alder: '0',
      Birch: '-1000000',
      Cedar: '1000000',
    });
    expect((await boardOf('Birch')).ended.map(({ state }) => state)).toEqual(['done']);
  });

  it('of equal parts is in the books without moving a balance', async () => {
    const [mine, theirs] = [boxOf('Birch', 'Stew'), boxOf('Cedar', 'Stew')];
    const { body } = await propose('Birch', 'Cedar', [mine], [theirs]);
    await answer('Cedar', body, { answer: 'accept' });
    const postings = await rows<{ amount: string }>(
      `SELECT p.amount FROM entry e JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
       WHERE e.cooperative_id = $1 AND e.kind = 'swap' AND e.document_id = $2 ORDER BY p.amount`,
      [body.id],
    );
    expect(postings.map(({ amount }) => amount)).toEqual(['-4000000', '-4000000', '4000000', '4000000']);
  });

  it('is declined by the other and withdrawn by the proposer, once', async () => {
    const first = (await propose('Birch', 'Cedar', [boxOf('Birch', 'Pie')], [boxOf('Cedar', 'Stew')])).body;
    expect(await answer('Birch', first, { answer: 'accept' })).toMatchObject({ status: 403 });
    expect(await answer('Cedar', first, { answer: 'withdraw' })).toMatchObject({ status: 403 });
    expect(await answer('Cedar', first, { answer: 'decline' })).toMatchObject({
      status: 200,
      body: { state: 'declined' },
    });
    expect(await answer('Cedar', { ...first, version: 2 }, { answer: 'accept' })).toMatchObject({
      status: 409,
      body: { code: 'swap-closed', params: { state: 'declined' } },
    });
    const second = (await propose('Birch', 'Cedar', [boxOf('Birch', 'Pie')], [boxOf('Cedar', 'Stew')])).body;
    expect(await answer('Birch', { ...second, version: 9 }, { answer: 'withdraw' })).toMatchObject({ status: 412 });
    expect(await answer('Birch', second, { answer: 'withdraw' })).toMatchObject({ body: { state: 'withdrawn' } });
    expect(await holderOf(boxOf('Birch', 'Pie'))).toBe('Birch');
  });

  it('lapses when nobody answers, and earlier at the end of the swap days', async () => {
    const short = await buildSharedRound(api, cooperative, { ...draft, number: 2, swapUntil: '2026-11-23' });
    const [give, get] = [short.of('Birch')[0]!.id, short.of('Cedar')[0]!.id];
    const { body } = await propose('Birch', 'Cedar', [give], [get]);
    // Midnight in Madrid in winter is 23:00 UTC.
    expect(body.openUntil).toBe('2026-11-23T23:00:00.000Z');
    await rows(`UPDATE swap SET open_until = '2026-11-23T09:59:00Z' WHERE cooperative_id = $1 AND id = $2`, [body.id]);
    expect((await boardOf('Cedar')).ended.map(({ state }) => state)).toEqual(['lapsed']);
    expect(await answer('Cedar', body, { answer: 'accept' })).toMatchObject({
      status: 409,
      body: { code: 'swap-closed', params: { state: 'lapsed' } },
    });
    expect(await rows(`SELECT state FROM swap WHERE cooperative_id = $1 AND id = $2`, [body.id])).toEqual([
      { state: 'lapsed' },
    ]);
    expect(await holderOf(give)).toBe('Birch');
  });

  it('does not happen when a container was eaten meanwhile, and says which', async () => {
    const [pie, stew, spare] = [boxOf('Birch', 'Pie'), boxOf('Cedar', 'Stew'), boxOf('Cedar', 'Pie')];
    const { body } = await propose('Birch', 'Cedar', [pie], [stew, spare]);
    const path = `${cooperative.path}/containers/${pie}/end`;
    await cooperative.household('Birch').client.ok('POST', path, { state: 'eaten' }, { ifMatch: 2 });
    const refused = await answer('Cedar', body, { answer: 'accept' });
    const code = round.containers.find(({ id }) => id === pie)?.code;
    expect(refused).toMatchObject({
      status: 409,
      body: { code: 'not-swappable', params: { container: code, state: 'eaten' } },
    });
    expect([await holderOf(stew), await holderOf(spare)]).toEqual(['Cedar', 'Cedar']);
    expect((await boardOf('Cedar')).ended.map(({ state }) => state)).toEqual(['lapsed']);
    expect(await rows(`SELECT 1 FROM entry WHERE cooperative_id = $1 AND kind = 'swap'`)).toEqual([]);
  });

  it('asks the one who accepts about what it must not eat, and never tells the proposer', async () => {
    await mustNotEatWheat('Cedar');
    const [pie, stew] = [boxOf('Birch', 'Pie'), boxOf('Cedar', 'Stew')];
    const proposed = await propose('Birch', 'Cedar', [pie], [stew]);
    expect(proposed.status).toBe(201);
    const warned = await answer('Cedar', proposed.body, { answer: 'accept' });
    expect(warned).toMatchObject({ status: 409, body: { code: 'excluded-food', params: { subjects: 'wheat' } } });
    expect(await holderOf(pie)).toBe('Birch');
    const confirmWords = 'For guests only';
    // Alder's coordinator may answer for Cedar, but not set the warning aside for it.
    const accept = { answer: 'accept', confirmWords };
    expect((await answer('Alder', proposed.body, accept)).status).toBe(403);
    expect(await holderOf(pie)).toBe('Birch');
    expect(await answer('Cedar', proposed.body, accept)).toMatchObject({ status: 200 });
    expect(
      await rows(`SELECT container_id, subjects, words FROM exclusion_confirmed WHERE cooperative_id = $1`),
    ).toEqual([{ container_id: pie, subjects: ['wheat'], words: confirmWords }]);
  });

  it('holds out to a household only what it may eat, and refuses a proposal for the rest', async () => {
    await mustNotEatWheat('Cedar');
    const board = await boardOf('Cedar');
    expect(board.others.length).toBeGreaterThan(0);
    expect(board.others.map(({ dish }) => dish)).not.toContain('Pie');
    expect(board.others.every(({ holder }) => holder?.name !== 'Cedar')).toBe(true);
    expect(await propose('Cedar', 'Birch', [boxOf('Cedar', 'Stew')], [boxOf('Birch', 'Pie')])).toMatchObject({
      status: 409,
      body: { code: 'excluded-food', params: { subjects: 'wheat' } },
    });
    // Birch sees everything that others hold, and nothing of why Cedar does not.
    const birches = await boardOf('Birch');
    expect(birches.others.map(({ dish }) => dish)).toContain('Pie');
    expect(JSON.stringify(birches)).not.toMatch(/Nura|mustNot|restriction/);
  });

  it('keeps to itself where others put their containers', async () => {
    const pie = boxOf('Birch', 'Pie');
    const path = `${cooperative.path}/containers/${pie}`;
    await cooperative.household('Birch').client.ok('PATCH', path, { place: 'behind the peas' }, { ifMatch: 2 });
    expect((await boardOf('Cedar')).others.find(({ id }) => id === pie)?.place).toBe('');
    expect((await boardOf('Birch')).mine.find(({ id }) => id === pie)?.place).toBe('behind the peas');
  });

  it('is only for what each side holds, between two households, each container once', async () => {
    const [pie, stew] = [boxOf('Birch', 'Pie'), boxOf('Cedar', 'Stew')];
    expect(await propose('Birch', 'Cedar', [stew], [pie])).toMatchObject({
      status: 409,
      body: { code: 'not-swappable' },
    });
    expect(await propose('Birch', 'Birch', [pie], [stew])).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/toHouseholdId' }] },
    });
    expect(await propose('Birch', 'Cedar', [pie], [stew, stew])).toMatchObject({ status: 400 });
    expect(await propose('Birch', 'Cedar', [pie], [randomUUID()])).toMatchObject({ status: 404 });
    const stranger = await buildCooperative(api);
    const body = {
      fromHouseholdId: stranger.households[0]?.id,
      toHouseholdId: stranger.households[1]?.id,
      giveContainerIds: [pie],
      getContainerIds: [stew],
    };
    expect((await stranger.coordinator.call('POST', `${stranger.path}/swaps`, body)).status).toBe(404);
    const proposal = await propose('Birch', 'Cedar', [pie], [stew]);
    const path = `${stranger.path}/swaps/${proposal.body.id}/answer`;
    expect((await stranger.coordinator.call('POST', path, { answer: 'accept' }, { ifMatch: 1 })).status).toBe(404);
  });

  it('works for a round that is settled, too', async () => {
    const [pie, stew] = [boxOf('Birch', 'Pie'), boxOf('Cedar', 'Stew')];
    await rows(`UPDATE round SET stage = 'settled', settled_at = now() WHERE cooperative_id = $1 AND id = $2`, [
      round.id,
    ]);
    const { body } = await propose('Birch', 'Cedar', [pie], [stew]);
    expect(body.openUntil).toBe('2026-11-26T10:00:00.000Z');
    expect(await answer('Cedar', body, { answer: 'accept' })).toMatchObject({ status: 200, body: { state: 'done' } });
  });
});
