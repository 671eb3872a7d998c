import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { accounts, leaving, portionRounds, Problem } from '@frostmoot/contract';
import type { z } from 'zod';
import { brokenClaims, Claiming } from '../builders/claiming.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { broken, moneyBalances } from './books.ts';
import { startApi, type Api } from './harness.ts';

type Leaving = z.infer<typeof leaving>;
type Rounds = z.infer<typeof portionRounds>;

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api);
  // 14 portions for weights 2, 2 and 1: 28/5, 28/5 and 14/5.
  round = await buildSharedRound(api, cooperative, {
    dishes: [
      { name: 'Stew', containers: [4, 4] },
      { name: 'Pie', containers: [2, 2, 2] },
    ],
    participants: [
      { household: 'Alder', weight: '2' },
      { household: 'Birch', weight: '2' },
      { household: 'Cedar', weight: '1' },
    ],
  });
});

const id = (name: string) => cooperative.household(name).id;
const leavingOf = (name: string) =>
  cooperative.coordinator.ok<Leaving>('GET', `${cooperative.path}/accounts/${id(name)}/leaving`);
const roundsOf = (name: string) =>
  cooperative.household(name).client.ok<Rounds>('GET', `${cooperative.path}/accounts/${id(name)}/portions`);
const settle = (name: string, { portionsMicro, moneyMinor, version }: Leaving, who = cooperative.coordinator) =>
  who.call<Leaving & Problem>(
    'POST',
    `${cooperative.path}/accounts/${id(name)}/leaving`,
    { portionsMicro, moneyMinor },
    { ifMatch: version },
  );
/** Alder pays for everything. */
const receive = async (amountMinor: number) => {
  const { coordinator, path } = cooperative;
  const { id: sellerId } = await coordinator.ok<{ id: string }>('POST', `${path}/sellers`, { name: 'Mill' });
  await coordinator.ok('POST', `${path}/rounds/${round.id}/receipts`, {
    ...{ sellerId, paidByHouseholdId: id('Alder'), boughtOn: '2026-11-21' },
    lines: [{ label: 'Everything', amountMinor: `${amountMinor}` }],
  });
};
const portionsOf = async () => {
  const { households } = await cooperative.coordinator.ok<z.infer<typeof accounts>>(
    'GET',
    `${cooperative.path}/accounts`,
  );
  return Object.fromEntries(households.map(({ household, portionsMicro }) => [household.name, Number(portionsMicro)]));
};
describe('portions by round', () => {
  it('shows what was due, received, swapped and carried', async () => {
    const seen = await roundsOf('Cedar');
    const received = round.of('Cedar').reduce((sum, { portions }) => sum + portions, 0);
    expect(seen.rounds).toEqual([
      {
        roundNumber: 1,
        dueMicro: '2800000',
        receivedMicro: `${received * 1_000_000}`,
        swappedMicro: '0',
        otherMicro: '0',
        carriedMicro: `${2_800_000 - received * 1_000_000}`,
      },
    ]);
    expect(seen.total.carriedMicro).toBe(`${(await portionsOf())['Cedar']}`);
    const given = round.of('Cedar')[0];
    const { client } = cooperative.household('Cedar');
    await client.ok('POST', `${cooperative.path}/containers/${given?.id}/release`, { householdId: id('Cedar') });
    expect((await roundsOf('Cedar')).total.receivedMicro).toBe(`${(received - (given?.portions ?? 0)) * 1_000_000}`);
    expect(await broken(api)).toEqual([]);
  });
});

describe('a household that leaves', () => {
  it('cannot while nobody knows what a portion cost', async () => {
    const shown = await leavingOf('Cedar');
    expect(shown).toMatchObject({ costPerPortionMinor: null, moneyMinor: null, takenOver: [], blockedBy: ['no-cost'] });
    expect(await settle('Cedar', shown)).toMatchObject({ status: 409, body: { code: 'round-not-ready' } });
    expect(await broken(api)).toEqual([]);
  });

  it('is bought out in portions and in money at once, and what it leaves is taken over by weight', async () => {
    await receive(2800);
    const before = await portionsOf();
    const money = await moneyBalances(api, cooperative.id);
    const shown = await leavingOf('Cedar');
    // 2800 over 14 portions: 200 a portion.
    expect(shown).toMatchObject({ costPerPortionMinor: '200', roundNumber: 1, blockedBy: [] });
    const portions = before['Cedar'] ?? 0;
    const paid = Math.round((portions * 200) / 1_000_000);
    expect([shown.portionsMicro, shown.moneyMinor]).toEqual([`${portions}`, `${paid}`]);
    expect(await settle('Cedar', { ...shown, moneyMinor: '1' })).toMatchObject({
      status: 409,
      body: { code: 'conflict' },
    });
    expect(await portionsOf()).toEqual(before);
    const settled = await settle('Cedar', shown);
    expect(settled).toMatchObject({
      status: 200,
      body: { leftOn: '2026-11-23', portionsMicro: '0', moneyMinor: null },
    });
    const after = await portionsOf();
    // Alder and Birch weigh the same, so each takes over half.
    expect(after['Cedar']).toBe(0);
    for (const name of ['Alder', 'Birch']) {
      expect(Math.abs((after[name] ?? 0) - (before[name] ?? 0) - portions / 2)).toBeLessThan(1);
    }
    const now = await moneyBalances(api, cooperative.id);
    expect((now['Cedar'] ?? 0) - (money['Cedar'] ?? 0)).toBe(paid);
    expect(Object.values(now).reduce((a, b) => a + b, 0)).toBe(0);
    expect(now['fund']).toBeUndefined();
    const periods = await roundsOf('Cedar');
    expect(periods.rounds.at(-1)).toMatchObject({ otherMicro: `${-portions}`, carriedMicro: '0' });
    expect(await settle('Cedar', { ...settled.body, version: settled.body.version })).toMatchObject({
      status: 409,
      body: { code: 'already-confirmed' },
    });
    expect(await broken(api)).toEqual([]);
  });

  it('gives up what was kept for it to the next in line, who is told', async () => {
    const at = new Claiming(api, cooperative);
    await receive(2800);
    const box = round.of('Birch')[0];
    for (const name of ['Cedar', 'Alder']) await at.act(name, 'waiting', { recipeId: box?.recipeId });
    await at.release('Birch', box?.id);
    const inLine = async () =>
      (await at.view(round)).waiting.map(({ household, state }) => [household.name, state] as const);
    expect(await inLine()).toEqual([
      ['Cedar', 'kept'],
      ['Alder', 'waiting'],
    ]);
    expect((await settle('Cedar', await leavingOf('Cedar'))).status).toBe(200);
    const { items } = await cooperative
      .household('Alder')
      .client.ok<{ items: { kind: string }[] }>('GET', `${cooperative.path}/notices`);
    expect(items.map(({ kind }) => kind)).toContain('dish-kept');
    expect(await inLine()).toEqual([['Alder', 'kept']]);
    expect(await brokenClaims(api)).toEqual([]);
  });

  it('waits until its swaps are answered, and is for the coordinator only', async () => {
    const { client } = cooperative.household('Birch');
    await client.ok('POST', `${cooperative.path}/swaps`, {
      fromHouseholdId: id('Birch'),
      toHouseholdId: id('Cedar'),
      giveContainerIds: [round.of('Birch')[0]?.id],
      getContainerIds: [round.of('Cedar')[0]?.id],
    });
    expect((await leavingOf('Cedar')).blockedBy).toContain('swap');
    const shown = await leavingOf('Cedar');
    expect(await settle('Cedar', shown, client)).toMatchObject({ status: 403, body: { code: 'forbidden' } });
    expect(await broken(api)).toEqual([]);
  });
});
