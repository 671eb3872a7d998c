import { afterAll, beforeAll, beforeEach, describe, expect, it, jest } from '@jest/globals';
import type { kitchen, yieldEntered } from '@frostmoot/contract';
import type { z } from 'zod';
import { ClaimsRepository } from '../../apps/api/src/share-outs/claims.repository.ts';
import { brokenClaims, Claiming, containersOf, dishes, participants } from '../builders/claiming.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { startApi, type Api } from './harness.ts';

type Kitchen = z.infer<typeof kitchen>;
type Entered = z.infer<typeof yieldEntered>;

const NOW = new Date('2026-11-23T10:00:00Z');
let api: Api;
let cooperative: BuiltCooperative;
let at: Claiming;
beforeAll(async () => {
  api = await startApi({ now: NOW });
});
afterAll(async () => {
  expect(await brokenClaims(api)).toEqual([]);
  await api.stop();
});
beforeEach(async () => {
  cooperative = await buildCooperative(api);
  at = new Claiming(api, cooperative);
});

describe('claims before the share-out', () => {
  it('are within the part by headcount, and the share-out keeps to them', async () => {
    await at.policy({ claimPolicy: 'before', claimAheadPortions: 0 });
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const [one, two, three] = round.containers.filter(({ dish }) => dish === 'Stew').map(({ id }) => id);
    // 24 portions for three equal households: 8 each, two containers of four.
    expect((await at.claim('Birch', one)).body).toMatchObject({
      container: { holder: { name: 'Birch' }, claim: 'early' },
      balanceMicro: '4000000',
    });
    expect((await at.claim('Cedar', one)).body).toMatchObject({ code: 'container-taken', params: { holder: 'Birch' } });
    expect((await at.claim('Birch', two)).body.balanceMicro).toBe('0');
    expect((await at.claim('Birch', three)).body).toMatchObject({
      code: 'over-allowance',
      params: { balanceMicro: '0' },
    });
    const early = await at.view(round);
    expect(early.earlyClaims.map(({ household }) => household.name)).toEqual(['Birch', 'Birch']);
    const shared = await at.confirm(await at.propose(round));
    expect(containersOf(shared, 'Birch').sort()).toEqual([one, two].sort());
    const birch = shared.parts.find(({ household }) => household.name === 'Birch');
    expect(birch?.containers.map((box) => box.claim)).toEqual(['claimed', 'claimed']);
    expect(birch?.owedAfter).toBe('0');
    expect(shared.earlyClaims).toEqual([]);
  });

  it('can be released again, and free what they held', async () => {
    await at.policy({ claimPolicy: 'before' });
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const [box] = round.containers;
    await at.claim('Birch', box?.id);
    expect((await at.release('Birch', box?.id)).status).toBe(200);
    expect((await at.claim('Cedar', box?.id)).status).toBe(200);
  });

  it('go on with containers of the same size when their batch is counted anew; what is lost is told', async () => {
    await at.policy({ claimPolicy: 'before', claimAheadPortions: 40 });
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const stews = round.containers.filter(({ dish }) => dish === 'Stew').map(({ id }) => id);
    await at.claim('Birch', stews[2]);
    await at.claim('Cedar', stews[0]);
    await at.claim('Alder', stews[1]);
    const batch = round.batches['Stew'];
    const count = async (containers: object[]) => {
      const { batches } = await cooperative.coordinator.ok<Kitchen>(
        'GET',
        `${cooperative.path}/rounds/${round.id}/kitchen`,
      );
      const { version } = batches.find(({ id }) => id === batch) ?? { version: 0 };
      const body = { frozenOn: '2026-11-22', containers, note: 'Counted again' };
      return cooperative.coordinator.ok<Entered>('PUT', `${cooperative.path}/batches/${batch}/yield`, body, {
        ifMatch: version,
      });
    };
    const noticesOf = (who: string) =>
      cooperative
        .household(who)
        .client.ok<{ items: { kind: string; facts: object }[] }>('GET', `${cooperative.path}/notices`);
    const counted = await count([
      { portions: 4, count: 2 },
      { portions: 2, count: 2 },
    ]);
    // Birch came first, then Cedar; Alder's is the one that is not there any more.
    expect(counted.earlyClaims.map(({ household, portions }) => [household.name, portions]).sort()).toEqual([
      ['Birch', 4],
      ['Cedar', 4],
    ]);
    expect(counted.claimsLost).toMatchObject([{ household: { name: 'Alder' }, code: 'R1-A1-2', portions: 4 }]);
    expect((await noticesOf('Alder')).items).toMatchObject([
      { kind: 'early-claim-lost', facts: { dish: 'Stew', n: 1, codes: 'R1-A1-2' } },
    ]);
    expect((await noticesOf('Birch')).items).toEqual([]);
    const early = (await at.view(round)).earlyClaims.map(({ household }) => household.name);
    expect(early).toEqual(['Birch', 'Cedar']);
    // Thrown away, nothing of it can be kept.
    const gone = await count([]);
    expect([gone.earlyClaims, gone.claimsLost.length]).toEqual([[], 2]);
  });

  it('are not kept beyond the part that the household has of what is there by now', async () => {
    await at.policy({ claimPolicy: 'before', claimAheadPortions: 0 });
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const stews = round.containers.filter(({ dish }) => dish === 'Stew').map(({ id }) => id);
    await at.claim('Birch', stews[0]);
    await at.claim('Birch', stews[1]);
    const path = `${cooperative.path}/batches/${round.batches['Pie']}/yield`;
    const thrown = { frozenOn: '2026-11-22', containers: [], note: 'It fell' };
    await cooperative.coordinator.ok('PUT', path, thrown, { ifMatch: 1 });
    const body = { frozenOn: '2026-11-22', containers: [{ portions: 4, count: 3 }], note: '' };
    const again = await cooperative.coordinator.ok<Entered>(
      'PUT',
      `${cooperative.path}/batches/${round.batches['Stew']}/yield`,
      body,
      { ifMatch: 1 },
    );
    // 12 portions for three equal households: 4 each, so that one of the two is kept.
    expect([again.earlyClaims.length, again.claimsLost.length]).toEqual([1, 1]);
  });

  it('never bring what somebody must not eat, whatever is said', async () => {
    await at.policy({ claimPolicy: 'before' });
    const round = await buildSharingRound(api, cooperative, {
      dishes,
      participants: participants.map((one) => ({ ...one, mustNot: one.household === 'Birch' ? ['wheat'] : [] })),
    });
    const pie = round.containers.find(({ dish }) => dish === 'Pie');
    const refused = await at.act('Birch', `containers/${pie?.id}/claim`, { confirmWords: 'It is for the neighbours' });
    expect(refused.body).toMatchObject({ code: 'excluded-food', params: { subjects: 'wheat', final: 1 } });
  });
});

describe('the policy', () => {
  it('without claims lets everybody say yes to what was set aside, and no more', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    await at.policy({ claimPolicy: 'none' });
    const [mine, other] = round.of('Birch');
    expect((await at.claim('Birch', mine?.id)).status).toBe(200);
    await at.release('Birch', other?.id);
    expect((await at.claim('Cedar', other?.id)).body.code).toBe('no-claims');
  });

  it('opens and closes claims at an instant, and says which', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const [box] = round.of('Birch');
    await at.release('Birch', box?.id);
    const set = (window: object | null) =>
      cooperative.coordinator.call('PUT', `${cooperative.path}/rounds/${round.id}/claim-window`, { window });
    const closed = { opensAt: '2026-11-20T10:00:00.000Z', closesAt: NOW.toISOString() };
    expect((await set(closed)).status).toBe(200);
    expect((await at.claim('Cedar', box?.id)).body).toMatchObject({
      code: 'claims-over',
      params: { closedAt: closed.closesAt },
    });
    await set({ opensAt: '2026-11-23T10:00:00.001Z', closesAt: '2026-11-24T10:00:00.000Z' });
    expect((await at.claim('Cedar', box?.id)).body).toMatchObject({
      code: 'claims-not-yet',
      params: { opensAt: '2026-11-23T10:00:00.001Z' },
    });
    expect((await set({ opensAt: NOW.toISOString(), closesAt: NOW.toISOString() })).status).toBe(400);
    const byOther = await cooperative
      .household('Birch')
      .client.call('PUT', `${cooperative.path}/rounds/${round.id}/claim-window`, { window: null });
    expect(byOther.status).toBe(403);
    await set({ opensAt: NOW.toISOString(), closesAt: '2026-11-23T10:00:00.001Z' });
    expect((await at.claim('Cedar', box?.id)).status).toBe(200);
  });

  it('gives any container of a dish, and says when none is left', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const stews = round
      .of('Birch')
      .concat(round.of('Alder'))
      .filter(({ dish }) => dish === 'Stew');
    const owner = round.of('Birch').some(({ id }) => id === stews[0]?.id) ? 'Birch' : 'Alder';
    await at.release(owner, stews[0]?.id);
    const any = () => at.act('Cedar', `rounds/${round.id}/dish-claims`, { recipeId: stews[0]?.recipeId });
    expect((await any()).body).toMatchObject({ container: { id: stews[0]?.id, holder: { name: 'Cedar' } } });
    expect((await any()).body.code).toBe('none-left');
  });

  it('gives one of the size that is named, and asks about what somebody must not eat before it gives any', async () => {
    const round = await buildSharedRound(api, cooperative, {
      dishes: [{ name: 'Stew', containers: [2, 4, 2, 4, 2, 4] }, dishes[1] ?? { name: 'Pie', containers: [4] }],
      participants: participants.map((one) => ({ ...one, mustNot: one.household === 'Cedar' ? ['wheat'] : [] })),
    });
    const all = ['Alder', 'Birch'].flatMap((who) => round.of(who).map((box) => ({ who, ...box })));
    for (const { who, id } of all) await at.release(who, id);
    const stew = all.find(({ dish }) => dish === 'Stew')?.recipeId;
    await at.policy({ claimAheadPortions: 40 });
    const of = (recipeId: string | undefined, portions: number, more = {}) =>
      at.act('Cedar', `rounds/${round.id}/dish-claims`, { recipeId, portions, ...more });
    const four = all.filter(({ dish, portions }) => dish === 'Stew' && portions === 4).map(({ id }) => id);
    const given = (await of(stew, 4)).body.container as { id: string } | undefined;
    expect(four).toContain(given?.id);
    expect((await of(stew, 3)).body.code).toBe('none-left');
    const pie = all.find(({ dish }) => dish === 'Pie')?.recipeId;
    expect((await of(pie, 4)).body).toMatchObject({ code: 'excluded-food', params: { subjects: 'wheat', final: 0 } });
    expect((await of(pie, 4, { confirmWords: 'It is for the neighbours' })).status).toBe(200);
  });

  it('asks about what somebody must not eat even where the last one goes at that moment', async () => {
    const round = await buildSharedRound(api, cooperative, {
      dishes,
      participants: participants.map((one) => ({ ...one, mustNot: one.household === 'Cedar' ? ['wheat'] : [] })),
    });
    const pie = round.of('Birch').find(({ dish }) => dish === 'Pie');
    await at.release('Birch', pie?.id);
    const claims = api.app.get(ClaimsRepository, { strict: false });
    const claimOfDish = claims.claimOfDish.bind(claims);
    const held = jest.spyOn(claims, 'claimOfDish').mockImplementationOnce(async (...asked) => {
      const outcome = await claimOfDish(...asked);
      expect((await at.claim('Birch', pie?.id)).status).toBe(200);
      return outcome;
    });
    const refused = await at.act('Cedar', `rounds/${round.id}/dish-claims`, { recipeId: pie?.recipeId });
    held.mockRestore();
    expect(refused).toMatchObject({
      status: 409,
      body: { code: 'excluded-food', params: { subjects: 'wheat', ingredients: '' } },
    });
  });
});

describe('freezers', () => {
  it('bind where every container’s volume is known, with what is in them already counted', async () => {
    const { id } = cooperative.household('Birch');
    await at.sql(`UPDATE household SET freezer_ml = 1500 WHERE cooperative_id = $1 AND id = $2`, [cooperative.id, id]);
    const round = await buildSharingRound(api, cooperative, {
      dishes: [{ name: 'Stew', containers: [4, 4, 4, 4, 4, 4], millilitres: 1000 }],
      participants,
    });
    const shared = await at.confirm(await at.propose(round));
    expect(shared.freezersCounted).toBe(true);
    const birch = shared.parts.find(({ household }) => household.name === 'Birch');
    expect([birch?.freezerFreeLitres, birch?.containers.length]).toEqual(['3/2', 1]);
    const second = await buildSharingRound(api, cooperative, {
      number: 2,
      dishes: [{ name: 'Stew', containers: [4, 4, 4], millilitres: 1000 }],
      participants,
    });
    const full = await at.propose(second);
    expect(full.parts.find(({ household }) => household.name === 'Birch')).toMatchObject({
      freezerFreeLitres: '1/2',
      containers: [],
    });
  });
});
