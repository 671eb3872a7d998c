import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { container, freezer } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { startApi, type Api } from './harness.ts';

type Freezer = z.infer<typeof freezer>;
type Box = z.infer<typeof container>;

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api, { households: [{ name: 'Alder', freezerMl: 60_500 }, { name: 'Birch' }] });
  round = await buildSharedRound(api, cooperative, {
    dishes: [
      { name: 'Stew', containers: [4, 4, 4, 4], millilitres: 1250 },
      { name: 'Pie', containers: [2, 2] },
    ],
    participants: ['Alder', 'Birch'].map((household) => ({ household, weight: '1' })),
  });
});

const rows = <T extends object>(sql: string, values: unknown[] = []) =>
  withClient(api.database.ownerUrl, async (client) => (await client.query<T>(sql, [cooperative.id, ...values])).rows);
const freezerOf = (name: string) =>
  cooperative.household(name).client.ok<Freezer>('GET', `${cooperative.path}/freezer`);
const end = (name: string, box: { id: string; version: number }, body: object) =>
  cooperative
    .household(name)
    .client.call<Box & { code?: string }>('POST', `${cooperative.path}/containers/${box.id}/end`, body, {
      ifMatch: box.version,
    });
const restore = (name: string, box: { id: string; version: number }) =>
  cooperative
    .household(name)
    .client.call<Box & { code?: string }>('POST', `${cooperative.path}/containers/${box.id}/restore`, undefined, {
      ifMatch: box.version,
    });

describe('a freezer', () => {
  it('lists what to use first, and the litres', async () => {
    await rows(`UPDATE container SET best_before = '2027-01-10' WHERE cooperative_id = $1 AND id = $2`, [
      round.of('Alder').at(-1)?.id,
    ]);
    const seen = await freezerOf('Alder');
    expect(seen.household.name).toBe('Alder');
    expect(seen.today).toBe('2026-11-23');
    expect(seen.items.map(({ bestBefore }) => bestBefore)).toEqual([
      '2027-01-10',
      ...seen.items.slice(1).map(() => '2027-02-22'),
    ]);
    expect(seen.items[0]?.id).toBe(round.of('Alder').at(-1)?.id);
    const stews = seen.items.filter(({ dish }) => dish === 'Stew').length;
    // 1250 mL each; the volume of a pie is not known.
    expect(seen.litresUsed).toBe(['0', '5/4', '5/2', '15/4', '5'][stews]);
    expect(seen.litresTotal).toBe('121/2');
    expect((await freezerOf('Birch')).litresTotal).toBeNull();
  });

  it('is its household’s own, and the coordinator’s to look after', async () => {
    const alder = cooperative.household('Alder').id;
    const refused = await cooperative
      .household('Birch')
      .client.call('GET', `${cooperative.path}/freezer?householdId=${alder}`);
    expect(refused).toMatchObject({ status: 403, body: { code: 'forbidden' } });
    const birch = cooperative.household('Birch').id;
    expect(
      (await cooperative.coordinator.ok<Freezer>('GET', `${cooperative.path}/freezer?householdId=${birch}`)).household
        .name,
    ).toBe('Birch');
    const stranger = await buildCooperative(api);
    expect((await stranger.coordinator.call('GET', `${stranger.path}/freezer?householdId=${alder}`)).status).toBe(404);
  });

  it('counts what was eaten and thrown away', async () => {
    const [first, second] = (await freezerOf('Birch')).items;
    expect(await end('Birch', first!, { state: 'eaten' })).toMatchObject({ status: 200, body: { state: 'eaten' } });
    await end('Birch', second!, { state: 'thrown-away', reason: 'Left out overnight' });
    const after = await freezerOf('Birch');
    expect(after.portionsEaten).toBe(first?.portions);
    expect(after.portionsThrownAway).toBe(second?.portions);
    expect(after.items.map(({ id }) => id)).not.toContain(first?.id);
    expect(after.ended.find(({ id }) => id === second?.id)?.endedReason).toBe('Left out overnight');
    // What a household does with its own moves no balance.
    expect(await rows(`SELECT 1 FROM entry WHERE cooperative_id = $1 AND kind <> 'share-out'`)).toEqual([]);
  });

  it('writes a container off against the common account, for a coordinator only, and takes it back', async () => {
    const [box] = (await freezerOf('Birch')).items;
    const ending = { state: 'lost', reasonCode: 'damaged', reason: 'Its lid had split', against: 'common' };
    expect(await end('Birch', box!, ending)).toMatchObject({ status: 403, body: { code: 'forbidden' } });
    const balance = async () =>
      (
        await cooperative.coordinator.ok<{ total: { otherMicro: string; carriedMicro: string } }>(
          'GET',
          `${cooperative.path}/accounts/${cooperative.household('Birch').id}/portions`,
        )
      ).total;
    const before = await balance();
    const lost = await end('Alder', box!, ending);
    expect(lost).toMatchObject({ status: 200, body: { state: 'lost' } });
    const micro = (box?.portions ?? 0) * 1_000_000;
    expect(await balance()).toMatchObject({
      otherMicro: `${micro}`,
      carriedMicro: `${Number(before.carriedMicro) + micro}`,
    });
    const { ended } = await freezerOf('Birch');
    expect(ended[0]).toMatchObject({ endedCode: 'damaged', endedReason: 'Its lid had split' });
    expect(await restore('Birch', lost.body)).toMatchObject({ status: 403, body: { code: 'forbidden' } });
    expect((await restore('Alder', lost.body)).status).toBe(200);
    expect((await balance()).carriedMicro).toBe(before.carriedMicro);
  });

  it('says by month and by round what became of portions, and from when to look at a best-before', async () => {
    const [first, second] = (await freezerOf('Birch')).items;
    await end('Birch', first!, { state: 'given-away' });
    await end('Birch', second!, { state: 'thrown-away', reasonCode: 'thawed' });
    const after = await freezerOf('Birch');
    const became = { eaten: 0, thrownAway: second?.portions, givenAway: first?.portions, lost: 0 };
    expect(after.byMonth).toEqual([{ month: '2026-11', ...became }]);
    expect(after.byRound).toEqual([{ roundNumber: 1, costPerPortionMinor: null, ...became }]);
    expect(after).toMatchObject({ alertDays: 14, alertUntil: '2026-12-07', costPerEatenPortionMinor: null });
    const { client, id } = cooperative.household('Birch');
    await client.ok('PATCH', `${cooperative.path}/households/${id}`, { name: 'Birch', alertDays: 30 }, { ifMatch: 1 });
    expect((await freezerOf('Birch')).alertUntil).toBe('2026-12-23');
  });

  it('takes an end back on the same day only, and no change without the present version', async () => {
    const [box] = (await freezerOf('Birch')).items;
    const eaten = (await end('Birch', box!, { state: 'eaten' })).body;
    expect(await end('Birch', eaten, { state: 'lost' })).toMatchObject({
      status: 409,
      body: { code: 'container-not-free' },
    });
    expect((await restore('Birch', box!)).status).toBe(412);
    const back = await restore('Birch', eaten);
    expect(back).toMatchObject({ status: 200, body: { state: 'sealed', version: eaten.version + 1 } });
    expect(back.headers.get('etag')).toBe(`"${eaten.version + 1}"`);
    expect(await restore('Birch', back.body)).toMatchObject({ status: 409, body: { code: 'conflict' } });
    const again = (await end('Birch', back.body, { state: 'eaten' })).body;
    await rows(`UPDATE container SET ended_at = '2026-11-22T22:59:00Z' WHERE cooperative_id = $1 AND id = $2`, [
      box?.id,
    ]);
    expect(await restore('Birch', again)).toMatchObject({ status: 409, body: { code: 'conflict' } });
  });

  it('says where a container lies, which means that it was collected', async () => {
    const [box] = (await freezerOf('Birch')).items;
    const { client } = cooperative.household('Birch');
    const moved = await client.ok<Box>(
      'PATCH',
      `${cooperative.path}/containers/${box?.id}`,
      { place: 'second drawer' },
      { ifMatch: box?.version },
    );
    expect(moved).toMatchObject({ place: 'second drawer', claim: 'collected' });
    const foreign = await cooperative
      .household('Birch')
      .client.call(
        'PATCH',
        `${cooperative.path}/containers/${round.of('Alder')[0]?.id}`,
        { place: 'mine' },
        { ifMatch: 2 },
      );
    expect(foreign).toMatchObject({ status: 403, body: { code: 'forbidden' } });
  });

  it('books the loss of a container from the pool in the common account, and its return', async () => {
    const [box] = round.of('Birch');
    const birch = cooperative.household('Birch');
    await birch.client.ok('POST', `${cooperative.path}/containers/${box?.id}/release`, { householdId: birch.id });
    const [{ version } = { version: 0 }] = await rows<{ version: number }>(
      `SELECT version FROM container WHERE cooperative_id = $1 AND id = $2`,
      [box?.id],
    );
    const free = { id: box!.id, version };
    expect(await end('Birch', free, { state: 'lost' })).toMatchObject({ status: 403, body: { code: 'forbidden' } });
    const lost = await end('Alder', free, { state: 'lost', reason: 'Not in the freezer' });
    expect(lost.status).toBe(200);
    const loss = await rows<{ amount: string; part: string; kind: string }>(
      `SELECT p.amount, p.facts->>'part' AS part, a.kind FROM entry e JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
       JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
       WHERE e.cooperative_id = $1 AND e.kind = 'loss' ORDER BY p.amount`,
    );
    const micro = `${(box?.portions ?? 0) * 1_000_000}`;
    expect(loss).toEqual([
      { amount: `-${micro}`, part: 'lost', kind: 'common' },
      { amount: micro, part: 'unallotted', kind: 'common' },
    ]);
    expect((await restore('Alder', lost.body)).status).toBe(200);
    const reversals = await rows(
      `SELECT 1 FROM entry WHERE cooperative_id = $1 AND kind = 'reversal' AND book = 'portions'`,
    );
    expect(reversals).toHaveLength(1);
    expect(
      (await birch.client.call('POST', `${cooperative.path}/containers/${box?.id}/claim`, { householdId: birch.id }))
        .status,
    ).toBe(200);
  });

  it('does not exist for another cooperative', async () => {
    const stranger = await buildCooperative(api);
    const path = `${stranger.path}/containers/${round.containers[0]?.id}`;
    expect((await stranger.coordinator.call('POST', `${path}/end`, { state: 'lost' }, { ifMatch: 1 })).status).toBe(
      404,
    );
    expect((await stranger.coordinator.call('POST', `${path}/restore`, undefined, { ifMatch: 1 })).status).toBe(404);
    expect((await stranger.coordinator.call('PATCH', path, { place: 'x' }, { ifMatch: 1 })).status).toBe(404);
  });
});
