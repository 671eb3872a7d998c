import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { NOW } from '../builders/pantry.ts';
import { proposeRota, publishRota } from '../builders/rota.ts';
import type { Ids } from './operations.ts';
import { set, startPlaces, wayOf, wrongCells, type How } from './state-table.ts';
import { Containers, turnsOf } from './things.ts';
import { DRAFT, RING, SWAP, TURN, TURN_SWAP } from './when-tables.ts';

let places: Awaited<ReturnType<typeof startPlaces>>;
beforeAll(async () => {
  places = await startPlaces();
});
afterAll(() => places.stop());

describe('between two households', () => {
  const answers: Record<string, string> = { done: 'accept', declined: 'decline', withdrawn: 'withdraw' };

  it('a swap that waits, and one that has ended', async () => {
    const place = await places.build();
    const { cooperative } = place;
    const containers = await Containers.of(place, 120);
    const make = async (state: string): Promise<Ids> => {
      const ids = await containers.swap();
      const answer = answers[state];
      const path = `${cooperative.path}/swaps/${ids['swap']}/answer`;
      if (answer) await cooperative.coordinator.ok('POST', path, { answer }, { ifMatch: 1 });
      if (state === 'lapsed') await set(place, 'swap', ids['swap'], `open_until = '2026-11-28T09:59Z'`);
      if (state === 'gone') await set(place, 'container', ids['container'], `state = 'eaten', ended_at = now()`);
      return ids;
    };
    const how = (act: string, ids: Ids): How => {
      if (wayOf(act) !== 'counter') return { body: { answer: wayOf(act) } };
      return {
        body: {
          ...{ fromHouseholdId: ids['otherHousehold'], toHouseholdId: ids['household'], answersId: ids['swap'] },
          ...{ giveContainerIds: [containers.next('Cedar')], getContainerIds: [containers.next('Birch')] },
        },
      };
    };
    const mayWrite = ['swap', 'idempotency_key', 'outbox'];
    expect(await wrongCells({ place, make, how, mayWrite }, SWAP)).toEqual([]);
  });

  it('a ring that waits, and one that has ended', async () => {
    const place = await places.build();
    const { cooperative } = place;
    const containers = await Containers.of(place, 60);
    const make = async (state: string): Promise<Ids> => {
      const ids = await containers.ring();
      const path = `${cooperative.path}/swap-rings/${ids['swapRing']}/answer`;
      const answer = (of: string, what: string) =>
        cooperative.coordinator.ok('POST', path, { householdId: ids[of], answer: what }, { ifMatch: 1 });
      if (state === 'declined') await answer('otherHousehold', 'decline');
      if (state === 'done') for (const who of ['household', 'otherHousehold']) await answer(who, 'accept');
      if (state === 'lapsed') await set(place, 'swap_ring', ids['swapRing'], `open_until = '2026-11-28T09:59Z'`);
      if (state === 'gone') await set(place, 'container', ids['container'], `state = 'eaten', ended_at = now()`);
      return ids;
    };
    const how = (act: string, ids: Ids): How => ({ body: { householdId: ids['household'], answer: wayOf(act) } });
    const mayWrite = ['swap_ring', 'idempotency_key', 'outbox', 'notice'];
    expect(await wrongCells({ place, make, how, mayWrite }, RING)).toEqual([]);
  });

  it('a turn, and a swap of two', async () => {
    const place = await places.build();
    const { cooperative } = place;
    const turns = await turnsOf(place, 10);
    const { coordinator, path } = cooperative;
    const release = (id: string | undefined) =>
      coordinator.ok('POST', `${path}/rota-turns/${id}/release`, undefined, { ifMatch: 1 });
    const swapOf = (from: string | undefined, gives: string | undefined, gets: string | undefined) => ({
      ...{ fromHouseholdId: from, givesTurnId: gives, getsTurnId: gets },
    });
    const make = async (state: string): Promise<Ids> => {
      places.api.config.now = state === 'over' ? new Date('2027-12-01T10:00:00.000Z') : NOW;
      const ids = await turns();
      if (state === 'nobodys') await release(ids['turn']);
      return ids;
    };
    const how = (act: string, ids: Ids): How => {
      if (act === 'coverTurn') return { body: { householdId: ids['otherHousehold'], despite: true } };
      if (wayOf(act) === 'gives') return { body: swapOf(ids['household'], ids['turn'], ids['otherTurn']) };
      if (wayOf(act) === 'gets') return { body: swapOf(ids['otherHousehold'], ids['otherTurn'], ids['turn']) };
      return {};
    };
    expect(await wrongCells({ place, make, how }, TURN)).toEqual([]);

    places.api.config.now = NOW;
    const makeSwap = async (state: string): Promise<Ids> => {
      const ids = await turns();
      const asked = swapOf(ids['household'], ids['turn'], ids['otherTurn']);
      const { id } = await coordinator.ok<{ id: string }>('POST', `${path}/turn-swaps`, asked);
      const answer = answers[state];
      if (answer) await coordinator.ok('POST', `${path}/turn-swaps/${id}/answer`, { answer }, { ifMatch: 1 });
      if (state === 'lapsed') await set(place, 'turn_swap', id, `open_until = '2026-11-28T09:59Z'`);
      if (state === 'gone') await release(ids['turn']);
      return { ...ids, turnSwap: id };
    };
    const howSwap = (act: string): How => ({ body: { answer: wayOf(act) } });
    const mayWrite = ['turn_swap', 'idempotency_key', 'outbox'];
    expect(await wrongCells({ place, make: makeSwap, how: howSwap, mayWrite }, TURN_SWAP)).toEqual([]);
  });
});

it('a draft of the rota', async () => {
  const place = await places.build();
  const { cooperative } = place;
  const { coordinator, path } = cooperative;
  const household = cooperative.household('Birch').id;
  const make = async (state: string): Promise<Ids> => {
    const proposed = await proposeRota(cooperative, { from: '2026-11-30', weeks: 1, team: 1 });
    const { id, version } = proposed.draft ?? { id: '', version: 0 };
    if (state === 'published') await publishRota(cooperative, proposed);
    if (state === 'set-aside')
      await coordinator.ok('DELETE', `${path}/rota-proposals/${id}`, undefined, { ifMatch: version });
    return { rota: id, household };
  };
  expect(await wrongCells({ place, make }, DRAFT)).toEqual([]);
});
