import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { startApi, type Api, type CallOptions } from './harness.ts';

interface Result {
  container: { id: string; holder: { id: string; name: string } | null; claim: string | null };
  balanceMicro: string;
  code?: string;
  params?: Record<string, string | number>;
}

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());

// Two containers of four for each of three equal households, so that nothing is owed and every claim beyond is one container ahead.
const draft = {
  dishes: [
    { name: 'Stew', containers: [4, 4, 4] },
    { name: 'Pie', containers: [4, 4, 4], unfitFor: ['wheat'] },
  ],
  participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' })),
};
beforeEach(async () => {
  cooperative = await buildCooperative(api);
  round = await buildSharedRound(api, cooperative, draft);
});

const act = (
  what: 'claim' | 'release',
  who: string,
  containerId: string | undefined,
  body = {},
  options: CallOptions = {},
) => {
  const { id, client } = cooperative.household(who);
  const path = `${cooperative.path}/containers/${containerId}/${what}`;
  return client.call<Result>('POST', path, { householdId: id, ...body }, options);
};
const claim = (who: string, containerId: string | undefined, body = {}, options: CallOptions = {}) =>
  act('claim', who, containerId, body, options);
const release = (who: string, containerId: string | undefined, options: CallOptions = {}) =>
  act('release', who, containerId, {}, options);
const rows = <T extends object>(sql: string, values: unknown[] = []) =>
  withClient(api.database.ownerUrl, async (client) => (await client.query<T>(sql, [cooperative.id, ...values])).rows);
const balanceOf = async (who: string) => {
  const [row] = await rows<{ balance: string }>(
    `SELECT balance FROM account WHERE cooperative_id = $1 AND book = 'portions' AND household_id = $2`,
    [cooperative.household(who).id],
  );
  return row?.balance;
};

describe('a claim', () => {
  it('says yes to what was set aside, without booking it again', async () => {
    const [mine] = round.of('Birch');
    const answer = await claim('Birch', mine?.id);
    const { id, name } = cooperative.household('Birch');
    expect(answer.status).toBe(200);
    expect(answer.body).toEqual({
      container: { id: mine?.id, holder: { id, name }, claim: 'claimed' },
      balanceMicro: '0',
    });
    expect(await rows(`SELECT 1 FROM entry WHERE cooperative_id = $1 AND kind = 'claim'`)).toEqual([]);
    const again = await claim('Birch', mine?.id);
    expect(again).toMatchObject({ status: 409, body: { code: 'container-taken', params: { holder: 'Birch' } } });
  });

  it('says yes to all at once', async () => {
    const { id, client } = cooperative.household('Cedar');
    const view = await client.ok<{ parts: { household: { name: string }; containers: { claim: string }[] }[] }>(
      'POST',
      `${cooperative.path}/rounds/${round.id}/claims`,
      { householdId: id },
    );
    const claims = view.parts.map(({ household, containers }) => [household.name, containers.map((box) => box.claim)]);
    expect(Object.fromEntries(claims)).toEqual({
      Alder: ['held', 'held'],
      Birch: ['held', 'held'],
      Cedar: ['claimed', 'claimed'],
    });
  });

  it('takes from the pool and gives back, and the balance follows', async () => {
    const [box] = round.of('Birch');
    const given = await release('Birch', box?.id);
    expect(given.body).toEqual({ container: { id: box?.id, holder: null, claim: null }, balanceMicro: '4000000' });
    const taken = await claim('Cedar', box?.id);
    expect(taken.body).toMatchObject({
      container: { holder: { name: 'Cedar' }, claim: 'claimed' },
      balanceMicro: '-4000000',
    });
    expect((await release('Cedar', box?.id)).body.balanceMicro).toBe('0');
    expect((await claim('Birch', box?.id)).body.balanceMicro).toBe('0');
    const states = await rows<{ state: string }>(
      `SELECT state FROM claim WHERE cooperative_id = $1 AND container_id = $2 ORDER BY id`,
      [box?.id],
    );
    expect(states.map(({ state }) => state)).toEqual(['released', 'released', 'claimed']);
    const kinds = await rows<{ kind: string }>(
      `SELECT kind FROM entry WHERE cooperative_id = $1 AND document_id = $2 ORDER BY id`,
      [box?.id],
    );
    expect(kinds.map(({ kind }) => kind)).toEqual(['release', 'claim', 'release', 'claim']);
  });

  it('of what somebody else has says who and when', async () => {
    const [box] = round.of('Birch');
    const before = new Date(Date.now() - 60_000).toISOString();
    const answer = await claim('Cedar', box?.id);
    expect(answer).toMatchObject({
      status: 409,
      body: { code: 'container-taken', params: { holder: 'Birch', holderId: cooperative.household('Birch').id } },
    });
    expect(answer.body.params?.['at']).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/);
    expect(String(answer.body.params?.['at']) > before).toBe(true);
  });

  it('stops where the household would be too far ahead', async () => {
    const [one, two] = round.of('Birch');
    await release('Birch', one?.id);
    await release('Birch', two?.id);
    expect((await claim('Cedar', one?.id)).body.balanceMicro).toBe('-4000000');
    const answer = await claim('Cedar', two?.id);
    expect(answer).toMatchObject({
      status: 409,
      body: { code: 'over-allowance', params: { portions: 4, balanceMicro: '-4000000', limitMicro: '4000000' } },
    });
    expect(await balanceOf('Cedar')).toBe('-4000000');
  });

  it('of what somebody must not eat needs words, which are kept', async () => {
    const pie = round.containers.find(
      ({ dish, id }) => dish === 'Pie' && !round.of('Birch').some((box) => box.id === id),
    );
    const owner = ['Alder', 'Cedar'].find((name) => round.of(name).some(({ id }) => id === pie?.id)) ?? '';
    await release(owner, pie?.id);
    await rows(
      `WITH d AS (INSERT INTO diner (cooperative_id, id, household_id, name, age_band) VALUES ($1, $2, $3, 'Nura', 'child') RETURNING id)
       INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by) SELECT $1, $4, d.id, 'wheat', 'hard', $5 FROM d`,
      [randomUUID(), cooperative.household('Birch').id, randomUUID(), cooperative.household('Birch').personId],
    );
    const warned = await claim('Birch', pie?.id);
    expect(warned).toMatchObject({
      status: 409,
      body: { code: 'excluded-food', params: { subjects: 'wheat', dish: 'Pie' } },
    });
    expect(await balanceOf('Birch')).toBe('0');
    // Not even a coordinator sets the warning aside for another household.
    const forBirch = { householdId: cooperative.household('Birch').id, confirmWords: 'They will not mind' };
    const path = `${cooperative.path}/containers/${pie?.id}/claim`;
    expect(await cooperative.coordinator.call('POST', path, forBirch)).toMatchObject({ status: 403 });
    const taken = await claim('Birch', pie?.id, { confirmWords: 'For the grandparents, not for Nura' });
    expect(taken.status).toBe(200);
    const kept = await rows(`SELECT subjects, words, household_id FROM exclusion_confirmed WHERE cooperative_id = $1`);
    expect(kept).toEqual([
      {
        subjects: ['wheat'],
        words: 'For the grandparents, not for Nura',
        household_id: cooperative.household('Birch').id,
      },
    ]);
  });

  it('with the same key has one effect and the same answer, and another body is refused', async () => {
    const [box, another] = round.of('Birch');
    const key = randomUUID();
    const first = await release('Birch', box?.id, { key });
    const second = await release('Birch', box?.id, { key });
    expect([second.status, second.text]).toEqual([first.status, first.text]);
    expect(await balanceOf('Birch')).toBe('4000000');
    const other = await release('Birch', another?.id, { key });
    expect(other).toMatchObject({ status: 422, body: { code: 'idempotency-key-reused' } });
    expect(await release('Birch', box?.id, { key: null })).toMatchObject({
      status: 400,
      body: { code: 'idempotency-key-missing' },
    });
  });

  it('comes only after the share-out, from a household of the round, for a container that is there', async () => {
    const open = await buildSharingRound(api, cooperative, {
      ...draft,
      number: 2,
      participants: draft.participants.slice(0, 2),
    });
    expect(await claim('Birch', open.containers[0]?.id)).toMatchObject({
      status: 409,
      body: { code: 'claims-closed' },
    });
    const two = await buildSharedRound(api, cooperative, {
      ...draft,
      number: 3,
      participants: draft.participants.slice(0, 2),
    });
    const [box, eaten] = two.of('Birch');
    await release('Birch', box?.id);
    expect(await claim('Cedar', box?.id)).toMatchObject({ status: 422, body: { code: 'participant-missing' } });
    await cooperative
      .household('Birch')
      .client.ok('POST', `${cooperative.path}/containers/${eaten?.id}/end`, { state: 'eaten' }, { ifMatch: 2 });
    expect(await claim('Alder', eaten?.id)).toMatchObject({
      status: 409,
      body: { code: 'container-not-free', params: { state: 'eaten' } },
    });
    expect(await release('Birch', eaten?.id)).toMatchObject({ status: 409, body: { code: 'container-not-free' } });
    expect(await release('Birch', box?.id)).toMatchObject({ status: 409, body: { code: 'conflict' } });
    expect((await claim('Birch', randomUUID())).status).toBe(404);
  });

  it('is for one’s own household, or for any by a coordinator', async () => {
    const [box] = round.of('Birch');
    const birch = cooperative.household('Birch');
    const path = `${cooperative.path}/containers/${box?.id}/release`;
    const meddling = await cooperative.household('Cedar').client.call('POST', path, { householdId: birch.id });
    expect(meddling).toMatchObject({ status: 403, body: { code: 'forbidden' } });
    const helped = await cooperative.coordinator.call('POST', path, { householdId: birch.id });
    expect(helped.status).toBe(200);
    const stranger = await buildCooperative(api);
    const foreign = await stranger.coordinator.call('POST', `${stranger.path}/containers/${box?.id}/claim`, {
      householdId: stranger.households[0]?.id,
    });
    expect(foreign.status).toBe(404);
    const crossed = await stranger.coordinator.call('POST', `${stranger.path}/containers/${box?.id}/claim`, {
      householdId: birch.id,
    });
    expect(crossed.status).toBe(404);
  });

  it('checks the membership in the database too, whatever cooperative is named', async () => {
    const [box] = round.of('Birch');
    const stranger = await buildCooperative(api);
    const ids = Array.from({ length: 7 }, () => randomUUID());
    const asked = (person: string | undefined) =>
      withClient(api.database.appUrl, async (client) => {
        const { rows: answers } = await client.query<{ status: string }>(
          `SELECT status, current_setting('app.cooperative_id', true) AS left FROM claim_container($1, $2, $3, $4, NULL, $5, 'hash', now(), $6)`,
          [cooperative.id, person, cooperative.household('Birch').id, box?.id, randomUUID(), ids],
        );
        return answers[0];
      });
    expect(await asked(stranger.households[0]?.personId)).toMatchObject({ status: 'not-found' });
    expect(await asked(cooperative.household('Cedar').personId)).toMatchObject({ status: 'forbidden' });
    expect(await asked(cooperative.household('Birch').personId)).toMatchObject({ status: 'done' });
  });

  it('leaves no setting behind in a transaction that calls it', async () => {
    await withClient(api.database.appUrl, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT claim_container($1, $2, $3, $4, NULL, $5, 'hash', now(), $6)`, [
        cooperative.id,
        cooperative.household('Birch').personId,
        cooperative.household('Birch').id,
        round.of('Birch')[0]?.id,
        randomUUID(),
        Array.from({ length: 7 }, () => randomUUID()),
      ]);
      const { rows: seen } = await client.query('SELECT id FROM container');
      expect(seen).toEqual([]);
      await client.query('ROLLBACK');
    });
  });
});
