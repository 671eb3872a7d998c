import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import type { waiting as waitingContract } from '@frostmoot/contract';
import type { z } from 'zod';
import type { ClaimAnswer } from '../builders/claiming.ts';
import { brokenClaims, Claiming, dishes, participants } from '../builders/claiming.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { until } from '../builders/until.ts';
import { startApi, type Api } from './harness.ts';

type Waiting = z.infer<typeof waitingContract>;

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

describe('the waiting list', () => {
  let round: SharedRound;
  beforeEach(async () => {
    await at.policy({ waitingHours: 2 });
    round = await buildSharedRound(api, cooperative, { dishes, participants });
  });
  const wait = (who: string, recipeId: string | undefined) =>
    at.act<Waiting & ClaimAnswer>(who, 'waiting', { recipeId });
  const stewOf = (who: string) => round.of(who).find(({ dish }) => dish === 'Stew') ?? round.of(who)[0];

  it('keeps what comes free for the first in line, for a stated time', async () => {
    const box = stewOf('Birch');
    expect((await wait('Cedar', box?.recipeId)).body.state).toBe('waiting');
    expect((await wait('Cedar', box?.recipeId)).body.code).toBe('conflict');
    await wait('Alder', box?.recipeId);
    await at.release('Birch', box?.id);
    const { waiting } = await at.view(round);
    expect(waiting.map(({ household, state, keptUntil }) => [household.name, state, keptUntil])).toEqual([
      ['Cedar', 'kept', '2026-11-23T12:00:00.000Z'],
      ['Alder', 'waiting', null],
    ]);
    expect((await at.claim('Alder', box?.id)).body).toMatchObject({
      code: 'container-kept',
      params: { holder: 'Cedar' },
    });
    expect((await at.claim('Cedar', box?.id)).status).toBe(200);
    expect((await at.view(round)).waiting.map(({ household }) => household.name)).toEqual(['Alder']);
  });

  it('passes it on at the moment when the time is over, with nobody looking, and tells the next in line', async () => {
    const box = stewOf('Birch');
    await wait('Cedar', box?.recipeId);
    await wait('Alder', box?.recipeId);
    await at.release('Birch', box?.id);
    const inLine = async () =>
      (
        await at.sql(
          `SELECT h.name, w.state, w.kept_until FROM waiting w JOIN household h ON h.cooperative_id = w.cooperative_id AND h.id = w.household_id
           WHERE w.cooperative_id = $1 ORDER BY w.created_at, w.id`,
          [cooperative.id],
        )
      ).rows;
    const told = async (who: string) => {
      const { items } = await cooperative
        .household(who)
        .client.ok<{ items: { kind: string; facts: object }[] }>('GET', `${cooperative.path}/notices`);
      return items.filter(({ kind }) => kind === 'dish-kept').map(({ facts }) => facts);
    };
    const first = { dish: 'Stew', code: box?.code, untilAt: '2026-11-23T12:00:00.000Z' };
    expect([await told('Cedar'), await told('Alder')]).toEqual([[first], []]);
    const { rows } = await at.sql(
      `SELECT round(extract(epoch FROM due_at - created_at))::int AS seconds FROM job WHERE cooperative_id = $1 AND kind = 'pass-on-dish'`,
      [cooperative.id],
    );
    // The job waits for the two hours; its own clock is the database's, so it is sent for here.
    expect(rows).toEqual([{ seconds: 2 * 3600 }]);
    const later = new Date('2026-11-23T12:00:00Z');
    api.config.now = later;
    try {
      await at.sql(`UPDATE job SET due_at = now() WHERE cooperative_id = $1 AND kind = 'pass-on-dish'`, [
        cooperative.id,
      ]);
      await until(async () => (await inLine())[0]?.state === 'lapsed');
      expect(await inLine()).toEqual([
        { name: 'Cedar', state: 'lapsed', kept_until: later },
        { name: 'Alder', state: 'kept', kept_until: new Date('2026-11-23T14:00:00Z') },
      ]);
      const second = { ...first, untilAt: '2026-11-23T14:00:00.000Z' };
      expect([await told('Cedar'), await told('Alder')]).toEqual([[first], [second]]);
      expect((await at.claim('Cedar', box?.id)).body).toMatchObject({
        code: 'container-kept',
        params: { holder: 'Alder' },
      });
      expect((await at.claim('Alder', box?.id)).status).toBe(200);
    } finally {
      api.config.now = NOW;
    }
  });

  it('passes it on when the time is over, when it is left, and to nobody who may not have it', async () => {
    const box = stewOf('Birch');
    await wait('Cedar', box?.recipeId);
    await wait('Alder', box?.recipeId);
    await at.release('Birch', box?.id);
    await at.sql(`UPDATE waiting SET kept_until = $2 WHERE cooperative_id = $1 AND state = 'kept'`, [
      cooperative.id,
      NOW,
    ]);
    const { waiting } = await at.view(round);
    expect(waiting.map(({ household, state }) => [household.name, state])).toEqual([['Alder', 'kept']]);
    const { client } = cooperative.household('Alder');
    const left = await client.call('POST', `${cooperative.path}/waiting/${waiting[0]?.id}/leave`, undefined, {
      ifMatch: waiting[0]?.version ?? 0,
    });
    expect(left.status).toBe(200);
    expect((await at.view(round)).waiting).toEqual([]);
    // Somebody of Alder must not eat it by now, so it is kept for Cedar, who came later.
    const { id, personId } = cooperative.household('Alder');
    await at.sql(
      `WITH d AS (INSERT INTO diner (cooperative_id, id, household_id, name, age_band) VALUES ($1, $2, $3, 'Nura', 'child') RETURNING id)
       INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by) SELECT $1, $4, d.id, 'wheat', 'hard', $5 FROM d`,
      [cooperative.id, randomUUID(), id, randomUUID(), personId],
    );
    const pie = round.of('Birch').find(({ dish }) => dish === 'Pie');
    if (pie) {
      await wait('Alder', pie.recipeId);
      await wait('Cedar', pie.recipeId);
      await at.release('Birch', pie.id);
      const kept = (await at.view(round)).waiting.filter(({ state }) => state === 'kept');
      expect(kept.map(({ household }) => household.name)).toEqual(['Cedar']);
    }
  });
});
