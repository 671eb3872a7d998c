import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { accounts, collection, notices, Problem } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { until } from '../builders/until.ts';
import { broken } from './books.ts';
import { startApi, type Api } from './harness.ts';

type View = z.infer<typeof collection>;

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  api.config.now = new Date('2026-11-23T10:00:00Z');
  cooperative = await buildCooperative(api, {
    households: [{ name: 'Alder' }, { name: 'Birch' }, { name: 'Cedar' }, { name: 'Dogwood' }],
  });
  round = await buildSharedRound(api, cooperative, {
    dishes: [
      { name: 'Stew', containers: [4, 4, 4] },
      { name: 'Pie', containers: [2, 2, 2], unfitFor: ['milk'] },
    ],
    participants: ['Birch', 'Cedar', 'Dogwood'].map((household) => ({ household, weight: '1' })),
  });
});

const id = (name: string) => cooperative.household(name).id;
const as = (name: string) => cooperative.household(name).client;
const at = (rest = '') => `${cooperative.path}/rounds/${round.id}/collection${rest}`;
const SLOTS = [
  { startsAt: '2026-11-24T17:00:00.000Z', endsAt: '2026-11-24T18:00:00.000Z' },
  { startsAt: '2026-11-25T17:00:00.000Z', endsAt: '2026-11-25T18:00:00.000Z' },
];
const TYPED = { place: 'The porch of Alder', collectBy: '2026-11-26T19:00:00.000Z', slots: SLOTS };
const set = (more: object = {}) => cooperative.coordinator.ok<View>('POST', at(), { ...TYPED, ...more });
const view = (name: string) => as(name).ok<View>('GET', at());
const choose = (name: string, slotId: string | null, delegate: string | null, who = name) =>
  as(who).call<View & Problem>('POST', at('/choices'), {
    householdId: id(name),
    slotId,
    delegateHouseholdId: delegate && id(delegate),
  });
const handOver = (who: string, containerId: string | undefined, to: string) =>
  as(who).call<View & Problem>('POST', `${cooperative.path}/containers/${containerId}/hand-over`, {
    toHouseholdId: id(to),
  });
const undo = (who: string, containerId: string | undefined) =>
  as(who).call<View & Problem>('POST', `${cooperative.path}/containers/${containerId}/hand-over/undo`);
const partOf = (seen: View, name: string) => seen.parts.find(({ household }) => household.name === name);
const stockBroken = () =>
  withClient(
    api.database.ownerUrl,
    async (client) => (await client.query(`SELECT * FROM broken_invariant_stock`)).rows,
  );

describe('where and when', () => {
  it('is said by the coordinator after the share-out, with times that make sense', async () => {
    expect(await view('Birch')).toMatchObject({ state: 'none', collectBy: null, slots: [], version: null });
    expect(await as('Birch').call('POST', at(), TYPED)).toMatchObject({ status: 403 });
    const wrong = { ...TYPED, slots: [{ startsAt: '2026-11-24T17:00:00.000Z', endsAt: '2026-11-24T17:00:00.000Z' }] };
    const refused = await cooperative.coordinator.call<Problem>('POST', at(), wrong);
    expect([refused.status, refused.body.errors?.[0]?.pointer]).toEqual([400, '#/slots/0/endsAt']);
    const made = await set();
    expect(made).toMatchObject({ state: 'set', place: 'The porch of Alder', isOver: false, version: 1 });
    expect(await cooperative.coordinator.call('POST', at(), TYPED)).toMatchObject({ status: 409 });
    expect(await broken(api)).toEqual([]);
  });

  it('keeps what was chosen when a time is moved, and drops it when the time goes', async () => {
    const { slots } = await set();
    const [first, second] = slots.map((slot) => slot.id);
    await choose('Birch', first ?? '', null);
    await choose('Cedar', second ?? '', 'Birch');
    const later = { id: first, startsAt: '2026-11-24T18:00:00.000Z', endsAt: '2026-11-24T19:00:00.000Z' };
    const changed = await cooperative.coordinator.ok<View>('PUT', at(), { ...TYPED, slots: [later] }, { ifMatch: 1 });
    expect(changed.slots).toMatchObject([{ id: first, startsAt: later.startsAt, households: 1 }]);
    expect(partOf(changed, 'Cedar')).toMatchObject({ slotId: null, delegate: { name: 'Birch' } });
    expect((await cooperative.coordinator.call('PUT', at(), TYPED, { ifMatch: 1 })).status).toBe(412);
    expect(await stockBroken()).toEqual([]);
    expect(await broken(api)).toEqual([]);
  });

  it('is chosen by the household itself or a coordinator, and sends nobody but another household', async () => {
    expect(await choose('Birch', null, null)).toMatchObject({ status: 404, body: { code: 'not-found' } });
    await set();
    expect(await choose('Birch', null, null, 'Cedar')).toMatchObject({ status: 403 });
    expect(await choose('Birch', null, 'Birch')).toMatchObject({ status: 400 });
    expect(await choose('Birch', 'b2c6a5f4-0000-7000-8000-000000000000', null)).toMatchObject({ status: 400 });
    expect(await choose('Birch', null, 'Dogwood', 'Alder')).toMatchObject({ status: 200 });
    expect(partOf(await view('Dogwood'), 'Birch')).toMatchObject({ mayHandOver: true, mayChoose: false });
    expect(partOf(await view('Cedar'), 'Birch')).toMatchObject({ mayHandOver: false, mayChoose: false });
    expect(await broken(api)).toEqual([]);
  });
});

describe('at the door', () => {
  it('a container goes to its household or the one that it sends, with who and when', async () => {
    await set();
    await choose('Birch', null, 'Dogwood');
    const [box, other] = round.of('Birch');
    expect(await handOver('Cedar', box?.id, 'Birch')).toMatchObject({ status: 403 });
    expect(await handOver('Alder', box?.id, 'Cedar')).toMatchObject({ status: 403 });
    const handed = await handOver('Dogwood', box?.id, 'Dogwood');
    expect(handed.status).toBe(200);
    const part = partOf(handed.body, 'Birch');
    expect(part?.containers.find((each) => each.id === box?.id)).toMatchObject({
      isCollected: true,
      handedOver: { to: { name: 'Dogwood' }, by: 'Dogwood Adult', at: '2026-11-23T10:00:00.000Z' },
    });
    expect(part?.containers.find((each) => each.id === other?.id)).toMatchObject({ isCollected: false });
    // It stays Birch's own.
    const freezer = await as('Birch').ok<{ items: { id: string; claim: string }[] }>(
      'GET',
      `${cooperative.path}/freezer`,
    );
    expect(freezer.items.find((each) => each.id === box?.id)?.claim).toBe('collected');
    expect(await handOver('Birch', box?.id, 'Birch')).toMatchObject({ status: 409, body: { code: 'conflict' } });
    expect(await stockBroken()).toEqual([]);
    expect(await broken(api)).toEqual([]);
  });

  it('a tick is taken back on the same day, and the container can be handed over again', async () => {
    await set();
    const [box] = round.of('Birch');
    expect(await undo('Birch', box?.id)).toMatchObject({ status: 409 });
    await handOver('Birch', box?.id, 'Birch');
    const back = await undo('Birch', box?.id);
    expect(partOf(back.body, 'Birch')?.containers.every(({ isCollected }) => !isCollected)).toBe(true);
    expect((await handOver('Birch', box?.id, 'Birch')).status).toBe(200);
    api.config.now = new Date('2026-11-24T10:00:00Z');
    expect(await undo('Birch', box?.id)).toMatchObject({ status: 409, body: { code: 'conflict' } });
    expect(await stockBroken()).toEqual([]);
    expect(await broken(api)).toEqual([]);
  });

  it('nothing says who must not eat what, and what waits for a household’s own yes is not handed over', async () => {
    await set();
    const pie =
      round.of('Cedar').find(({ dish }) => dish === 'Pie') ?? round.of('Birch').find(({ dish }) => dish === 'Pie');
    const owner = round.of('Cedar').some((each) => each.id === pie?.id) ? 'Cedar' : 'Birch';
    await as(owner).ok('POST', `${cooperative.path}/households/${id(owner)}/diners`, {
      name: 'Kit',
      ageBand: 'child',
      restrictions: [{ subject: 'milk', strength: 'hard' }],
      consent: true,
    });
    const refused = await handOver('Alder', pie?.id, owner);
    expect(refused).toMatchObject({ status: 409, body: { code: 'conflict' } });
    expect(JSON.stringify([refused.body, await view('Alder')])).not.toMatch(/milk|allerg|exclu/i);
    await as(owner).ok('POST', `${cooperative.path}/containers/${pie?.id}/claim`, {
      householdId: id(owner),
      confirmWords: 'We know, it is for the grown-ups',
    });
    expect((await handOver('Alder', pie?.id, owner)).status).toBe(200);
    expect(await broken(api)).toEqual([]);
  });
});

describe('what is not collected', () => {
  const release = (name: string) =>
    cooperative.coordinator.call<View & Problem>('POST', at('/releases'), { householdId: id(name) });

  it('goes back to the pool after the deadline where that was said, and the household is owed it again', async () => {
    await set({ afterDeadline: 'release' });
    const [collected, ...left] = round.of('Birch');
    await handOver('Birch', collected?.id, 'Birch');
    expect(await release('Birch')).toMatchObject({ status: 409, body: { code: 'conflict' } });
    const before = await portions();
    api.config.now = new Date('2026-11-27T10:00:00Z');
    expect((await view('Birch')).isOver).toBe(true);
    const released = await release('Birch');
    expect(released.status).toBe(200);
    expect(partOf(released.body, 'Birch')?.containers.map((each) => each.id)).toEqual([collected?.id]);
    const told = await as('Birch').ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`);
    expect(told.items[0]).toMatchObject({ kind: 'back-in-pool', facts: { containers: left.length } });
    const back = left.reduce((sum, box) => sum + box.portions, 0);
    expect((await portions())['Birch']).toBe((before['Birch'] ?? 0) + back * 1_000_000);
    expect(await stockBroken()).toEqual([]);
    expect(await broken(api)).toEqual([]);
  });

  it('is told to its household and to the coordinator once the last moment has passed', async () => {
    api.config.now = new Date('2026-11-27T10:00:00Z');
    await handOver('Cedar', round.of('Cedar')[0]?.id, 'Cedar');
    await set();
    const kinds = async (name: string) =>
      (await as(name).ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`)).items.map(({ kind }) => kind);
    await until(async () => (await kinds('Birch')).includes('not-collected'));
    expect(await kinds('Birch')).toContain('collection-set');
    // Alder takes no part in the round but coordinates.
    await until(async () => (await kinds('Alder')).includes('not-collected-all'));
    expect(await kinds('Alder')).not.toContain('not-collected');
    expect(await broken(api)).toEqual([]);
  });

  it('is kept where the coordinator said so, until a later deadline is set', async () => {
    await set();
    api.config.now = new Date('2026-11-27T10:00:00Z');
    expect(await release('Birch')).toMatchObject({ status: 409, body: { code: 'conflict' } });
    const later = { ...TYPED, collectBy: '2026-11-29T19:00:00.000Z' };
    expect(await cooperative.coordinator.ok('PUT', at(), later, { ifMatch: 1 })).toMatchObject({ isOver: false });
    expect(await broken(api)).toEqual([]);
  });

  async function portions(): Promise<Record<string, number>> {
    const all = await cooperative.coordinator.ok<z.infer<typeof accounts>>('GET', `${cooperative.path}/accounts`);
    return Object.fromEntries(all.households.map((each) => [each.household.name, Number(each.portionsMicro)]));
  }
});
