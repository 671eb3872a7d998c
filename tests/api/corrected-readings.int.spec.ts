import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { batch, Problem } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, NOW } from '../builders/pantry.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { broken } from './books.ts';
import { startApi, type Api } from './harness.ts';

type Answer = z.infer<typeof batch> & Problem;

describe('a mistyped reading', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let batches: Record<string, string>;
  const at = (minutes: number): string => new Date(NOW.getTime() + minutes * 60_000).toISOString();
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const dishes = ['Stew', 'Pie', 'Soup', 'Bake'].map((name) => ({ name, containers: [4], open: true }));
    const participants = [{ household: 'Alder', weight: '1' }];
    ({ batches } = await buildSharingRound(api, cooperative, { stage: 'cooking', dishes, participants }));
  });
  afterAll(async () => {
    expect(await broken(api)).toEqual([]);
    await api.stop();
  });

  const measure = (dish: string, minutes: number, celsius: string, more: object = {}) =>
    cooperative.coordinator.call<Answer>('POST', `${cooperative.path}/batches/${batches[dish]}/readings`, {
      ...{ rule: 'cooked', startedAt: at(-180), measuredAt: at(minutes), celsius },
      ...more,
    });

  it('is replaced by another that says why; the verdict goes by that one and both are shown', async () => {
    const wrong = await measure('Stew', -61, '36.4');
    const id = wrong.body.cooling?.readings[0]?.id;
    // FDA Food Code 2022, 3-501.14: 21 °C within 120 minutes.
    expect(wrong.body.cooling?.verdict).toBe('failed');
    const { status, body } = await measure('Stew', -61, '16.4', { replaces: id, reason: 'Typed 3 for 1' });
    expect([status, body.cooling?.verdict]).toEqual([201, 'due']);
    expect(body.cooling?.stages[0]?.verdict).toBe('within');
    const correction = body.cooling?.readings.find(({ replaces }) => replaces === id);
    expect(body.cooling?.readings).toMatchObject([
      { id, celsius: '182/5', replaces: null, replacedBy: correction?.id, reason: '' },
      { celsius: '82/5', replaces: id, replacedBy: null, reason: 'Typed 3 for 1' },
    ]);
  });

  it('that made a batch pass makes it fail once it is corrected, and can be corrected again', async () => {
    const first = await measure('Pie', -61, '2.1');
    const one = first.body.cooling?.readings[0]?.id;
    const failed = await measure('Pie', -61, '21.2', { replaces: one, reason: 'A digit was missing' });
    expect(failed.body.cooling?.verdict).toBe('failed');
    const two = failed.body.cooling?.readings.find(({ replacedBy }) => replacedBy === null)?.id;
    const again = await measure('Pie', -61, '21', { replaces: two, reason: 'It was 21.0' });
    expect(again.body.cooling?.verdict).toBe('due');
    expect(again.body.cooling?.readings).toHaveLength(3);
  });

  it('takes its start of the clock with it, since the correction states it anew', async () => {
    const first = await measure('Soup', -61, '30', { startedAt: at(-600) });
    expect(first.body.cooling?.verdict).toBe('failed');
    const id = first.body.cooling?.readings[0]?.id;
    const { body } = await measure('Soup', -61, '30', {
      startedAt: at(-90),
      replaces: id,
      reason: 'Ten hours was a slip',
    });
    expect(body.cooling).toMatchObject({ startedAt: at(-90), verdict: 'due' });
  });

  it('is refused without a reason, of another batch, twice, and a reason without a correction', async () => {
    const { body } = await measure('Bake', -61, '30');
    const id = body.cooling?.readings[0]?.id;
    const ofStew = await measure('Stew', -30, '15');
    const stew = ofStew.body.cooling?.readings[0]?.id;
    expect((await measure('Bake', -61, '31', { replaces: id, reason: 'Misread' })).status).toBe(201);
    const refused = [
      await measure('Bake', -61, '32', { replaces: id }),
      await measure('Bake', -61, '32', { replaces: stew, reason: 'Of another' }),
      await measure('Bake', -61, '32', { reason: 'Of none' }),
      await measure('Bake', -61, '32', { replaces: id, reason: 'Again' }),
    ];
    expect(refused.map((each) => [each.status, each.body.code, each.body.errors?.[0]?.pointer])).toEqual([
      [400, 'invalid-input', '#/reason'],
      [400, 'invalid-input', '#/replaces'],
      [400, 'invalid-input', '#/reason'],
      [409, 'conflict', undefined],
    ]);
  });

  it('is replaced at most once and only within its batch, which the database keeps too', async () => {
    await withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ id: string; batch_id: string; replaces_id: string }>(
        'SELECT id, batch_id, replaces_id FROM probe_reading WHERE replaces_id IS NOT NULL ORDER BY id',
      );
      const copy = (batch: string | undefined, replaces: string | undefined) =>
        client.query(
          `INSERT INTO probe_reading (cooperative_id, id, batch_id, household_id, rule, started_at, measured_at, celsius, replaces_id, reason)
           SELECT cooperative_id, gen_random_uuid(), $1, household_id, rule, started_at, measured_at, celsius, $2, 'Again' FROM probe_reading LIMIT 1`,
          [batch, replaces],
        );
      await expect(copy(rows[0]?.batch_id, rows[0]?.replaces_id)).rejects.toThrow(/probe_reading_replaced_once/);
      const open = rows.at(-1)?.id;
      await expect(copy(batches['Pie'], open)).rejects.toThrow(/probe_reading_replaces_fkey/);
    });
  });
});
