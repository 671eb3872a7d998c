import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { job as jobContract, shareOut, shareOutPreview } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { ended } from '../builders/jobs.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { brokenInvariants } from '../database/test-database.ts';
import { startApi, type Api } from './harness.ts';

type Preview = z.infer<typeof shareOutPreview>;
type Job = z.infer<typeof jobContract>;

let api: Api;
let cooperative: BuiltCooperative;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(async () => {
  expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
  await api.stop();
});
beforeEach(async () => {
  cooperative = await buildCooperative(api);
});

const stew = { name: 'Stew', containers: [4, 4, 4] };
const participants = ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' }));
const look = (roundId: string, query = '') =>
  cooperative
    .household('Birch')
    .client.ok<Preview>('GET', `${cooperative.path}/rounds/${roundId}/share-out/preview${query}`);
const gets = ({ parts }: Preview, which: 'now' | 'changed') =>
  Object.fromEntries(parts.map((part) => [part.household.name, part[which]?.received ?? null]));

describe('a preview', () => {
  it('counts what is there and what is still planned, and cannot be confirmed', async () => {
    const round = await buildSharingRound(api, cooperative, {
      stage: 'cooking',
      dishes: [stew, { name: 'Pie', containers: [], open: true }],
      participants,
    });
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `INSERT INTO recipe_version (cooperative_id, id, recipe_id, number, makes_quantity, makes_unit, portions, container_plan, months, months_source,
           steps, allergens, unfit_for, created_by)
         SELECT cooperative_id, gen_random_uuid(), recipe_id, 2, '12', 'each', 12, '[{"portions":4,"count":3,"millilitres":null}]', 3, 'made up', '[]', '{}', '{}',
           created_by FROM recipe_version v WHERE v.cooperative_id = $1 AND v.id = (SELECT recipe_version_id FROM batch WHERE cooperative_id = $1 AND id = $2)`,
        [cooperative.id, round.batches['Pie']],
      ),
    );
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `UPDATE batch SET planned_portions = 12, recipe_version_id = (SELECT id FROM recipe_version WHERE cooperative_id = $1 AND number = 2)
         WHERE cooperative_id = $1 AND id = $2`,
        [cooperative.id, round.batches['Pie']],
      ),
    );
    const preview = await look(round.id);
    expect(preview.totalPortions).toBe(24);
    expect(preview.batches.map(({ dish, isPlanned }) => [dish, isPlanned])).toEqual([
      ['Stew', false],
      ['Pie', true],
    ]);
    expect(gets(preview, 'now')).toEqual({ Alder: '8', Birch: '8', Cedar: '8' });
    // A late batch left out, then a household away: the difference for each, and nothing kept.
    const late = await look(round.id, `?without=${round.batches['Pie']}`);
    expect([late.isChanged, gets(late, 'changed')]).toEqual([true, { Alder: '4', Birch: '4', Cedar: '4' }]);
    const away = await look(round.id, `?away=${cooperative.household('Cedar').id}`);
    expect(gets(away, 'changed')).toEqual({ Alder: '12', Birch: '12', Cedar: null });
    expect(gets(away, 'now')).toEqual({ Alder: '8', Birch: '8', Cedar: '8' });
    const kept = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT 1 FROM share_out WHERE cooperative_id = $1', [cooperative.id]),
    );
    expect(kept.rows).toEqual([]);
  });

  it('is of a round that is cooked or shared out, and of its own batches and households', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew], participants });
    const path = `${cooperative.path}/rounds/${round.id}/share-out/preview`;
    const { client } = cooperative.household('Birch');
    expect((await client.call('GET', `${path}?away=${round.id}`)).status).toBe(404);
    expect((await client.call('GET', `${path}?without=none`)).status).toBe(400);
  });
});

describe('the share-out as a job', () => {
  it('leaves a proposal with its proof, and is the coordinator’s to start', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew], participants });
    const path = `${cooperative.path}/rounds/${round.id}/share-out`;
    const byOther = await cooperative.household('Birch').client.call('POST', `${path}/search`, {});
    expect(byOther.status).toBe(403);
    const started = await cooperative.coordinator.ok<Job>('POST', `${path}/search`, { varietyWindow: '1' });
    const job = await ended(cooperative.coordinator, cooperative.path, started.id);
    expect([job.state, job.kind, job.subjectId]).toEqual(['done', 'share-out', round.id]);
    const view = await cooperative.coordinator.ok<z.infer<typeof shareOut>>('GET', path);
    expect([view.state, view.proof, view.shareOutId]).toEqual([
      'proposed',
      'optimal',
      (job.answer as { shareOutId: string }).shareOutId,
    ]);
    // The window is part of what was agreed, and the confirmation works with the same.
    const confirmed = await cooperative.coordinator.call(
      'POST',
      `${cooperative.path}/share-outs/${view.shareOutId}/confirm`,
      undefined,
      { ifMatch: view.version ?? 0 },
    );
    expect(confirmed.status).toBe(200);
    expect((await cooperative.coordinator.call('POST', `${path}/search`, {})).body).toMatchObject({
      code: 'already-confirmed',
    });
  });
});
