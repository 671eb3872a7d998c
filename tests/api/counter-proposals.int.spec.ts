import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { buildCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { startApi, type Api } from './harness.ts';

let api: Api;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());

describe('an answer with another proposal', () => {
  it('closes the first, and the chain can be followed', async () => {
    const cooperative = await buildCooperative(api);
    const round = await buildSharedRound(api, cooperative, {
      dishes: ['Stew', 'Pie', 'Soup'].map((name) => ({ name, containers: [2, 2, 2] })),
      participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' })),
    });
    const swappers = new Swappers(api, cooperative);
    const boxOf = (household: string, dish: string) => round.of(household).find((box) => box.dish === dish)!.id;
    const [pie, stew, soup] = [boxOf('Birch', 'Pie'), boxOf('Cedar', 'Stew'), boxOf('Cedar', 'Soup')];
    const propose = (from: string, to: string, gives: string, gets: string, answersId: string | null) =>
      cooperative
        .household(from)
        .client.call<{ id: string; answersId: string | null; version: number; code?: string }>(
          'POST',
          `${cooperative.path}/swaps`,
          {
            ...{ fromHouseholdId: cooperative.household(from).id, toHouseholdId: cooperative.household(to).id },
            ...{ giveContainerIds: [gives], getContainerIds: [gets], answersId },
          },
        );
    const first = (await propose('Birch', 'Cedar', pie, stew, null)).body;
    // Only who was asked may answer it, and only to who asked.
    expect((await propose('Birch', 'Cedar', pie, stew, first.id)).status).toBe(404);
    expect((await propose('Alder', 'Birch', boxOf('Alder', 'Stew'), pie, first.id)).status).toBe(404);
    const second = await propose('Cedar', 'Birch', soup, pie, first.id);
    expect(second).toMatchObject({ status: 201, body: { answersId: first.id } });
    const board = await swappers.board('Birch');
    expect(board.ended).toMatchObject([{ id: first.id, state: 'answered' }]);
    expect(board.waitingForMe).toMatchObject([{ id: second.body.id, answersId: first.id }]);
    expect(await propose('Cedar', 'Birch', stew, pie, first.id)).toMatchObject({
      status: 409,
      body: { code: 'swap-closed' },
    });
    const third = await propose('Birch', 'Cedar', pie, stew, second.body.id);
    expect(third.body.answersId).toBe(second.body.id);
    const path = `${cooperative.path}/swaps/${third.body.id}/answer`;
    await cooperative.household('Cedar').client.ok('POST', path, { answer: 'accept' }, { ifMatch: 1 });
    expect((await swappers.board('Cedar')).mine.map(({ id }) => id)).toContain(pie);
    expect((await swappers.board('Birch')).mine.map(({ id }) => id)).toContain(stew);
  });
});
