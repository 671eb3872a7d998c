import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { DATES, NOW } from '../builders/pantry.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { everythingOf, operations, type Ids } from './operations.ts';
import { NOBODY, operationOf, set, startPlaces, wayOf, wrongCells, type How } from './state-table.ts';
import { aRound, Containers, turnsOf } from './things.ts';
import {
  ALWAYS,
  CLAIMS,
  CONTAINER,
  DRAFT,
  HOUSEHOLD,
  JOB,
  ONCE,
  RECALL,
  RING,
  ROUND,
  SWAP,
  TURN,
  TURN_SWAP,
} from './when-tables.ts';

let places: Awaited<ReturnType<typeof startPlaces>>;
beforeAll(async () => {
  places = await startPlaces();
});
afterAll(() => places.stop());

it('every operation is in a table, or is the same always', () => {
  const tables = [ROUND, CONTAINER, CLAIMS, SWAP, RING, TURN, TURN_SWAP, DRAFT, RECALL, HOUSEHOLD, ONCE, JOB];
  const told = tables.flatMap(({ rows }) => rows.map(({ act }) => operationOf(act)));
  expect([...new Set([...told, ...ALWAYS])].sort()).toEqual(operations.map(({ id }) => id).sort());
});

it('a round in each of its stages', async () => {
  const place = await places.build();

  let [count, days] = [0, 0];
  const how = (act: string, ids: Ids): How => {
    count += 1;
    const bodies: Record<string, object> = {
      proposeDishes: { atHand: [] },
      changeParticipant: { householdId: ids['otherHousehold'], weight: '2', reason: 'Ours' },
      enterStepDone: { step: ids['step'], act: 'done', at: `${DATES.cookOn}T09:00:00.000Z` },
      correctReceiptLine: {
        ...{ kind: 'adjustment', lineId: ids['receiptLine'], differenceMinor: '1' },
        ...{ on: DATES.buyOn, reason: 'It was dearer' },
      },
      enterYield: { frozenOn: DATES.cookOn, containers: [{ portions: 4, count: 6 }] },
      enterReading: {
        ...{ rule: 'cooked', startedAt: `${DATES.cookOn}T07:00:00.000Z`, celsius: '40' },
        measuredAt: new Date(Date.parse(`${DATES.cookOn}T07:30:00.000Z`) + count * 1000).toISOString(),
      },
      moveRound: { to: wayOf(act) },
    };
    const body = bodies[operationOf(act)];
    if (operationOf(act) !== 'changeParticipant') return body ? { body } : {};
    days += 1;
    const fromDate = new Date(Date.parse(DATES.planUntil) + days * 86_400_000).toISOString().slice(0, 10);
    return { body: { ...body, fromDate } };
  };
  // A claim opens the household's account at nil before it is judged.
  const mayWrite = ['account'];
  expect(await wrongCells({ place, make: await aRound(place), how, mayWrite }, ROUND)).toEqual([]);
});

it('a container wherever it lies', async () => {
  const place = await places.build();

  const containers = await Containers.of(place, 120);
  expect(await wrongCells({ place, make: (state) => containers.in(state) }, CONTAINER)).toEqual([]);
});

it('claims in each policy and window', async () => {
  const place = await places.build();
  const { cooperative, db } = place;
  const containers = await Containers.of(place, 120);
  const make = async (state: string): Promise<Ids> => {
    const [policy, when] = state.split(':');
    await db.query(`UPDATE cooperative SET claim_policy = $2 WHERE id = $1`, [cooperative.id, policy]);
    await db.query(`DELETE FROM claim_window WHERE cooperative_id = $1`, [cooperative.id]);
    await db.query(
      `UPDATE waiting SET state = 'left', ended_at = now() WHERE cooperative_id = $1 AND ended_at IS NULL`,
      [cooperative.id],
    );
    const free = await containers.in(policy === 'before' ? 'unshared' : 'pool');
    const days: Record<string, [string, string]> = {
      'too-early': ['2026-11-29', '2026-12-03'],
      open: ['2026-11-27', '2026-12-03'],
      'too-late': ['2026-11-24', '2026-11-27'],
    };
    const window = days[when ?? ''];
    if (window) {
      await cooperative.coordinator.ok('PUT', `${cooperative.path}/rounds/${free['round']}/claim-window`, {
        window: { opensAt: `${window[0]}T08:00:00.000Z`, closesAt: `${window[1]}T08:00:00.000Z` },
      });
    }
    return policy === 'before' ? free : { ...free, own: containers.next('Birch') };
  };
  const how = (act: string, ids: Ids): How => {
    if (wayOf(act) === 'own') return { ids: { container: ids['own'] ?? '' } };
    // What a household has said yes to stays claimed, so it is another's.
    if (act === 'claimAll') return { body: { householdId: ids['otherHousehold'] } };
    if (act === 'joinWaiting') return { ids: { recipe: ids['otherRecipe'] ?? '' } };
    return {};
  };
  expect(await wrongCells({ place, make, how }, CLAIMS)).toEqual([]);
});

it('a recall', async () => {
  const place = await places.build();
  const { cooperative } = place;
  const containers = await Containers.of(place, 2);
  const { coordinator, path } = cooperative;
  const ids = await containers.in('set-aside');
  const make = async (state: string): Promise<Ids> => {
    const body = { source: 'batch', sourceId: ids['batch'], drill: true };
    const { id } = await coordinator.ok<{ id: string }>('POST', `${path}/recalls`, body);
    if (state === 'closed') await coordinator.ok('POST', `${path}/recalls/${id}/close`, { words: 'It was a drill' });
    return { ...ids, recall: id };
  };
  expect(await wrongCells({ place, make }, RECALL)).toEqual([]);
});

it('what ends once', async () => {
  const place = await places.build();
  const { cooperative, db } = place;
  const containers = await Containers.of(place, 20);
  const { coordinator, path } = cooperative;
  const [birch, cedar] = ['Birch', 'Cedar'].map((name) => cooperative.household(name).id);
  const post = <T>(to: string, body: object, ifMatch = 1) =>
    coordinator.ok<T>('POST', `${path}/${to}`, body, { ifMatch });
  const make = async (state: string): Promise<Ids> => {
    const { container = '', recipe = '', otherRecipe = '' } = await containers.in('set-aside');
    const { items } = await post<{ items: { id: string; container: { id: string } }[] }>('swap-offers', {
      householdId: birch,
      containerIds: [container],
    });
    const swapOffer = items.find((offer) => offer.container.id === container)?.id ?? '';
    const wish = await post<{ id: string; version: number }>('swap-wishes', {
      ...{ householdId: birch, recipeId: recipe, containers: 1 },
    });
    await db.query(
      `UPDATE waiting SET state = 'left', ended_at = now() WHERE cooperative_id = $1 AND ended_at IS NULL`,
      [cooperative.id],
    );
    const waiting = await post<{ id: string }>('waiting', { householdId: birch, recipeId: otherRecipe });
    const { entryId } = await post<{ entryId: string }>('payments', {
      ...{ fromHouseholdId: birch, toHouseholdId: cedar, amountMinor: '1', on: DATES.buyOn },
    });
    if (state === 'over') {
      const ended = (of: string, version: number) =>
        coordinator.ok('DELETE', `${path}/${of}`, undefined, { ifMatch: version });
      await ended(`swap-offers/${swapOffer}`, 1);
      await ended(`swap-wishes/${wish.id}`, wish.version);
      await post(`waiting/${waiting.id}/leave`, {});
      await post(`entries/${entryId}/reversal`, { reason: 'Ours' });
    }
    return { swapOffer, swapWish: wish.id, waiting: waiting.id, entry: entryId };
  };
  expect(await wrongCells({ place, make }, ONCE)).toEqual([]);
});

it('long work', async () => {
  const place = await places.build();
  const { cooperative, db, api } = place;
  const { id: householdId, personId } = cooperative.household('Alder');
  const ids: Record<string, string> = {};
  for (const state of JOB.states) {
    const id = randomUUID();
    ids[state] = id;
    const [isOpen, isRunning] = [['queued', 'running'].includes(state), state === 'running'];
    await db.query(
      `INSERT INTO job (cooperative_id, id, subject_id, kind, input, actor, created_by, due_at, state, ended_at, worker, lease_until, started_at, problem)
       VALUES ($1, $2, $2, 'pass-on-dish', '{}', $3, $4, '2100-01-01', $5, $6, $7, $8, $9, $10)`,
      [
        ...[cooperative.id, id, { householdId, roles: ['adult'], displayName: 'A' }, personId, state],
        ...[isOpen ? null : NOW, isRunning ? NOBODY : null, isRunning ? '2100-01-01' : null, isRunning ? NOW : null],
        state === 'failed' ? { code: 'unknown' } : null,
      ],
    );
  }
  const jobs = async () => {
    const rows = (await everythingOf(api, cooperative.id))['job'] as { id: string; state: string }[];
    return new Map(rows.map((row) => [row.id, row]));
  };
  const before = await jobs();
  const make = (state: string): Promise<Ids> => Promise.resolve({ job: ids[state] ?? '' });
  expect(await wrongCells({ place, make }, JOB)).toEqual([]);
  const after = await jobs();
  for (const state of ['done', 'failed', 'stopped']) {
    expect(after.get(ids[state] ?? '')).toEqual(before.get(ids[state] ?? ''));
  }
  expect(after.get(ids['queued'] ?? '')).toMatchObject({ state: 'stopped' });
  expect(after.get(ids['running'] ?? '')).toMatchObject({ state: 'running' });
});

it('a household that has left', async () => {
  const place = await places.build();
  const { cooperative, api } = place;
  const { coordinator, path } = cooperative;
  const containers = await Containers.of(place, 40);
  const turns = await turnsOf(place, 2);
  const { batch = '', household = '', otherHousehold = '', round = '', ...shared } = await containers.in('set-aside');
  const drill = { source: 'batch', sourceId: batch, drill: true };
  const recall = await coordinator.ok<{ id: string }>('POST', `${path}/recalls`, drill);
  const collection = { place: 'Our porch', collectBy: '2026-11-27T20:00:00.000Z', afterDeadline: 'release' };
  await coordinator.ok('POST', `${path}/rounds/${round}/collection`, collection);
  const free = containers.next('Cedar');
  await containers.act(free, 'release', { householdId: otherHousehold });
  const pair = await turns();
  const cooking = await buildSharingRound(api, cooperative, {
    ...{ number: 3, stage: 'cooking', dishes: [{ name: 'Stew', containers: [1] }] },
    participants: [{ household: 'Alder', weight: '2' }],
  });
  await set(place, 'household', household, `left_on = '2026-11-28'`);
  const ids = { ...shared, ...pair, batch, household, otherHousehold, round, recall: recall.id, free };
  const make = (): Promise<Ids> => Promise.resolve({ ...ids, container: containers.next('Birch') });
  const how = (act: string, made: Ids): How => {
    const { container, otherContainer, turn, otherTurn } = made;
    const alder = cooperative.household('Alder').id;
    const day = { date: '2026-11-22', startsAt: '09:00' };
    const correct = { reason: 'Ours now', containerId: container, kind: 'broken' };
    const swap = { fromHouseholdId: household, giveContainerIds: [container] };
    const ways: Record<string, How> = {
      'claimContainer:free': { ids: { container: free } },
      'endContainer:against': { body: { state: 'lost', against: 'common' } },
      'correctShareOut:broken': { body: correct },
      'correctShareOut:to': {
        body: { ...correct, containerId: otherContainer, kind: 'other-household', toHouseholdId: household },
      },
      'proposeSwap:from': { body: { ...swap, toHouseholdId: otherHousehold, getContainerIds: [otherContainer] } },
      'proposeSwap:to': {
        body: {
          ...{ fromHouseholdId: otherHousehold, toHouseholdId: household },
          ...{ giveContainerIds: [otherContainer], getContainerIds: [container] },
        },
      },
      'chooseCollection:delegate': {
        body: { householdId: otherHousehold, slotId: null, delegateHouseholdId: household },
      },
      changeParticipant: {
        ids: { round: cooking.id },
        body: { householdId: household, fromDate: '2026-11-28', weight: '1', reason: 'Ours' },
      },
      'saveCookDay:kitchen': {
        ids: { round: cooking.id },
        body: { ...day, kitchenHouseholdId: household, householdIds: [alder] },
      },
      'saveCookDay:cook': {
        ids: { round: cooking.id },
        body: { ...day, kitchenHouseholdId: alder, householdIds: [household] },
      },
      coverTurn: { ids: { turn: otherTurn ?? '' }, body: { householdId: household, despite: true } },
      'proposeTurnSwap:from': { body: { fromHouseholdId: household, givesTurnId: turn, getsTurnId: otherTurn } },
      'proposeTurnSwap:to': { body: { fromHouseholdId: otherHousehold, givesTurnId: otherTurn, getsTurnId: turn } },
    };
    return ways[act] ?? {};
  };
  expect(await wrongCells({ place, make, how }, HOUSEHOLD)).toEqual([]);
});
