import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { household, households } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, moveOn, NOW, startRound, stockPantry } from '../builders/pantry.ts';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api, type Client } from './harness.ts';

type Household = z.infer<typeof household>;

describe('households', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
  });
  afterAll(() => api.stop());
  const path = (name: string) => `${cooperative.path}/households/${cooperative.household(name).id}`;
  const read = (name: string, who: Client) => who.ok<Household>('GET', path(name));

  it('have the weight of who eats in them, and the room of their freezer', async () => {
    const { items } = await cooperative.coordinator.ok<z.infer<typeof households>>(
      'GET',
      `${cooperative.path}/households`,
    );
    // An adult counts 1, a child a half: Alder 1 + 1, Birch 1 + 1/2 + 1/2, Cedar 1 + 1 + 1/2.
    expect(items.map(({ name, weight }) => [name, weight])).toEqual([
      ['Alder', '2'],
      ['Birch', '2'],
      ['Cedar', '5/2'],
    ]);
    expect(items[0]).toMatchObject({ freezerLitres: '60', litresUsed: '0' });
    expect(items[1]?.members).toEqual([
      { personId: cooperative.household('Birch').personId, displayName: 'Birch Adult', roles: ['adult'] },
    ]);
  });

  it('are added by a coordinator, each with a name of its own', async () => {
    const add = (who: Client, name: string) => who.call('POST', `${cooperative.path}/households`, { name });
    const made = await add(cooperative.coordinator, 'Elm');
    expect([made.status, made.body]).toMatchObject([
      201,
      { name: 'Elm', joinedOn: '2026-11-28', weight: '0', version: 1 },
    ]);
    expect((await add(cooperative.coordinator, 'Elm')).body).toMatchObject({ status: 409, code: 'conflict' });
    expect((await add(cooperative.household('Birch').client, 'Fir')).status).toBe(403);
  });

  it('change their own name and freezer, and nobody else’s', async () => {
    const { client } = cooperative.household('Birch');
    const { version } = await read('Birch', client);
    const changed = await client.call(
      'PATCH',
      path('Birch'),
      { name: 'Birch', freezerLitres: '32.5' },
      { ifMatch: version },
    );
    expect(changed.body).toMatchObject({ freezerLitres: '65/2', version: version + 1 });
    const other = await client.call('PATCH', path('Cedar'), { name: 'Cedar' }, { ifMatch: 1 });
    expect(other.body).toMatchObject({ status: 403, code: 'forbidden' });
    const tooFine = await client.call(
      'PATCH',
      path('Birch'),
      { name: 'Birch', freezerLitres: '1/3' },
      { ifMatch: version + 1 },
    );
    expect(tooFine.body).toMatchObject({ code: 'invalid-input', errors: [{ pointer: '#/freezerLitres' }] });
  });

  it('do not set the number that they count for', async () => {
    const { client } = cooperative.household('Cedar');
    const { version } = await read('Cedar', client);
    const own = { name: 'Cedar', freezerLitres: '20', ownWeight: '1' };
    expect((await client.call('PATCH', path('Cedar'), own, { ifMatch: version })).body).toMatchObject({ status: 403 });
    const set = await cooperative.coordinator.ok<Household>('PATCH', path('Cedar'), own, { ifMatch: version });
    expect(set.ownWeight).toBe('1');
    const kept = await client.ok<Household>('PATCH', path('Cedar'), { name: 'Cedar' }, { ifMatch: set.version });
    expect(kept.ownWeight).toBe('1');
  });

  it('count by energy or by their own numbers where the cooperative says so', async () => {
    const place = await buildCooperative(api, {
      weightScale: 'energy',
      // 2026 - 2016 = 10 years: 1800 and 1800 kcal of 2000 (energy-table.ts names the source).
      households: [{ name: 'Alder', diners: [{ ageBand: 'child', birthYear: 2016 }], ownWeight: '7/4' }],
    });
    const one = () => place.coordinator.ok<Household>('GET', `${place.path}/households/${place.household('Alder').id}`);
    expect((await one()).weight).toBe('9/10');
    await place.coordinator.ok('PATCH', place.path, { weightScale: 'own' }, { ifMatch: 1 });
    expect((await one()).weight).toBe('7/4');
  });
});

describe('what diners must not eat', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
  });
  afterAll(() => api.stop());
  const birch = (who: Client) =>
    who.ok<Household>('GET', `${cooperative.path}/households/${cooperative.household('Birch').id}`);

  it('is shown to the household itself and to coordinators, and hidden from others', async () => {
    for (const who of [cooperative.household('Birch').client, cooperative.coordinator]) {
      const shown = await birch(who);
      expect(shown.mustNot).toEqual(['milk']);
      expect(shown.diners.flatMap(({ restrictions }) => restrictions ?? [])).toEqual([
        { subject: 'milk', strength: 'hard' },
      ]);
    }
    const hidden = await birch(cooperative.household('Cedar').client);
    expect([hidden.mustNot, hidden.ratherNot]).toEqual([null, null]);
    expect(hidden.diners.map(({ restrictions }) => restrictions)).toEqual([null, null, null]);
    expect(JSON.stringify(hidden)).not.toContain('milk');
    const { items } = await cooperative
      .household('Cedar')
      .client.ok<z.infer<typeof households>>('GET', `${cooperative.path}/households`);
    expect(items.map(({ mustNot }) => mustNot)).toEqual([null, null, ['no_meat']]);
  });

  it('is shown to who cooks for everybody, until the round is settled', async () => {
    const pantry = await stockPantry(cooperative);
    const cedar = cooperative.household('Cedar');
    const round = await startRound(cooperative, pantry, {
      kitchenHouseholdId: cedar.id,
      cookHouseholdIds: [cedar.id],
    });
    await moveOn(cooperative, round.id, 'buying');
    expect((await birch(cedar.client)).mustNot).toEqual(['milk']);
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `ALTER TABLE round DISABLE TRIGGER round_moves_forward; UPDATE round SET stage = 'settled', settled_at = now();
         ALTER TABLE round ENABLE TRIGGER round_moves_forward`,
      ),
    );
    expect((await birch(cedar.client)).mustNot).toBeNull();
  });

  it('is kept with the consent of who wrote it, replaced as a whole and gone with the diner', async () => {
    const alder = cooperative.household('Alder');
    const path = `${cooperative.path}/households/${alder.id}/diners`;
    const added = await cooperative.coordinator.ok<Household>('POST', path, {
      name: 'Kit',
      ageBand: 'child',
      birthYear: 2018,
      restrictions: [
        { subject: 'egg', strength: 'hard' },
        { subject: 'no_pork', strength: 'wish' },
      ],
      consent: true,
    });
    const kit = added.diners.find(({ name }) => name === 'Kit');
    expect([added.mustNot, added.ratherNot, added.weight]).toEqual([['egg'], ['no_pork'], '5/2']);
    const kept = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT consent_by FROM diner_restriction WHERE diner_id = $1', [kit?.id]),
    );
    expect(kept.rows).toEqual([{ consent_by: alder.personId }, { consent_by: alder.personId }]);

    const change = {
      name: 'Kit',
      ageBand: 'child',
      birthYear: 2018,
      restrictions: [{ subject: 'egg', strength: 'wish' }],
    };
    const at = `${path}/${kit?.id}`;
    const noConsent = await cooperative.coordinator.call('PATCH', at, change, { ifMatch: 1 });
    expect(noConsent.body).toMatchObject({ status: 400, errors: [{ pointer: '#/consent' }] });
    const changed = await cooperative.coordinator.ok<Household>(
      'PATCH',
      at,
      { ...change, consent: true },
      { ifMatch: 1 },
    );
    expect([changed.mustNot, changed.ratherNot]).toEqual([[], ['egg']]);
    expect((await cooperative.coordinator.call('DELETE', at, undefined, { ifMatch: 1 })).status).toBe(412);
    const without = await cooperative.coordinator.ok<Household>('DELETE', at, undefined, { ifMatch: 2 });
    expect(without.diners.map(({ name }) => name)).not.toContain('Kit');
    const left = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT 1 FROM diner_restriction WHERE diner_id = $1', [kit?.id]),
    );
    expect(left.rows).toEqual([]);
  });

  it('is written by the household itself or a coordinator', async () => {
    const { id } = cooperative.household('Birch');
    const path = `${cooperative.path}/households/${id}/diners`;
    const refused = await cooperative.household('Cedar').client.call('POST', path, { name: 'Kit', ageBand: 'adult' });
    expect(refused.body).toMatchObject({ status: 403, code: 'forbidden' });
    const reader = await buildCooperative(api, {
      households: [{ name: 'Alder' }, { name: 'Birch', roles: ['reader'] }],
    });
    const own = reader.household('Birch');
    const read = await own.client.call('POST', `${reader.path}/households/${own.id}/diners`, {
      name: 'Kit',
      ageBand: 'adult',
    });
    expect(read.body).toMatchObject({ status: 403, code: 'forbidden' });
    expect((await own.client.call('GET', `${reader.path}/households/${own.id}`)).status).toBe(200);
  });
});
