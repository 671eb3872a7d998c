import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { yieldEntered } from '@frostmoot/contract';
import type { z } from 'zod';
import { startApi, type Api } from '../api/harness.ts';
import { brokenClaims, Claiming, dishes, participants } from '../builders/claiming.ts';
import { buildCooperative } from '../builders/cooperative.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { inside } from './inside.ts';

let api: Api;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());

describe('a claim before the share-out while a batch is counted anew', () => {
  it('counts on what is there after it', async () => {
    const cooperative = await buildCooperative(api);
    const at = new Claiming(api, cooperative);
    await at.policy({ claimPolicy: 'before', claimAheadPortions: 0 });
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const first = (name: string) => round.containers.find(({ dish }) => dish === name)?.id;
    expect((await at.claim('Birch', first('Stew'))).status).toBe(200);
    const { shareOutId } = await at.propose(round);
    // 24 portions are 8 for each of three equal households; with 16 they are 5 1/3, and one container of 4 is within them.
    const count = () =>
      cooperative.coordinator.ok<z.infer<typeof yieldEntered>>(
        'PUT',
        `${cooperative.path}/batches/${round.batches['Stew']}/yield`,
        { frozenOn: '2026-11-22', containers: [{ portions: 4, count: 1 }], note: '' },
        { ifMatch: 1 },
      );
    // The count ends what was proposed after it has kept its claims.
    const [counted, claimed] = await inside(api, ['share_out', shareOutId ?? ''], count, () =>
      at.claim('Birch', first('Pie')),
    );
    expect([counted.earlyClaims.length, counted.claimsLost]).toEqual([1, []]);
    expect(claimed).toMatchObject({ status: 409, body: { code: 'over-allowance' } });
    expect((await at.view(round)).earlyClaims.map(({ household }) => household.name)).toEqual(['Birch']);
    expect(await brokenClaims(api)).toEqual([]);
  });
});
