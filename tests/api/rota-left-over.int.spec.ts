import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { leaving, notices, rota, rotaTurnHistory } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, NOW } from '../builders/pantry.ts';
import { proposeRota, publishRota } from '../builders/rota.ts';
import { until } from '../builders/until.ts';
import { broken } from './books.ts';
import { startApi, type Api } from './harness.ts';

// Headcount weights 2, 2 and 5/2 (two adults; two adults; two adults and a child at a half).

type Rota = z.infer<typeof rota>;
type Turn = Rota['turns'][number];

let api: Api;
let cooperative: BuiltCooperative;
beforeAll(async () => {
  api = await startApi({ now: NOW });
});
afterAll(() => api.stop());
beforeEach(async () => {
  api.config.now = NOW;
  cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
});

const asked = { from: '2026-12-02', weeks: 6, team: 1 };
const idOf = (name: string) => cooperative.household(name).id;
const release = (turn: Turn) =>
  cooperative.coordinator.ok<Rota>('POST', `${cooperative.path}/rota-turns/${turn.id}/release`, undefined, {
    ifMatch: turn.version,
  });
const balances = async () => {
  const { households } = await cooperative.coordinator.ok<{
    households: { household: { name: string }; turnsMicro: string }[];
  }>('GET', `${cooperative.path}/accounts`);
  return Object.fromEntries(households.map(({ household, turnsMicro }) => [household.name, Number(turnsMicro)]));
};
const told = async () =>
  (await cooperative.coordinator.ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`)).items.filter(
    ({ kind }) => kind === 'turns-not-done',
  );
const turnNow = async ({ id }: Turn) =>
  (await cooperative.coordinator.ok<z.infer<typeof rotaTurnHistory>>('GET', `${cooperative.path}/rota-turns/${id}`))
    .turn;

describe('a draft of the rota with a household that has left since', () => {
  it('leaves it out, and is published only once somebody has accepted what is missing then', async () => {
    const { draft } = await proposeRota(cooperative, asked);
    const cooks = (view: Rota) =>
      view.draft?.weeks.flatMap(({ turns }) => turns.map(({ household }) => household.name)) ?? [];
    expect(draft?.weeks.flatMap(({ turns }) => turns.map(({ household }) => household.name))).toContain('Cedar');
    const path = `${cooperative.path}/accounts/${idOf('Cedar')}/leaving`;
    const shown = await cooperative.coordinator.ok<z.infer<typeof leaving>>('GET', path);
    await cooperative.coordinator.ok(
      'POST',
      path,
      { portionsMicro: shown.portionsMicro, moneyMinor: shown.moneyMinor },
      { ifMatch: shown.version },
    );
    const after = await cooperative.coordinator.ok<Rota>('GET', `${cooperative.path}/rota`);
    expect(cooks(after)).not.toContain('Cedar');
    expect([after.draft?.broken.map(({ kind }) => kind), after.draft?.brokenAccepted]).toEqual([
      ['least', 'least'],
      false,
    ]);
    const proposal = `${cooperative.path}/rota-proposals/${after.draft?.id}`;
    const refused = await cooperative.coordinator.call('POST', `${proposal}/publish`, undefined, {
      ifMatch: after.draft?.version ?? 0,
    });
    expect([refused.status, refused.body['code']]).toEqual([409, 'rota-limits']);
    const accepted = await cooperative.coordinator.ok<Rota>('POST', `${proposal}/limits`, undefined, {
      ifMatch: after.draft?.version ?? 0,
    });
    const { turns } = await publishRota(cooperative, accepted);
    expect(turns).toHaveLength(6);
    expect(turns.filter(({ state }) => state === 'open')).toHaveLength(2);
    expect(turns.map(({ household }) => household?.name)).not.toContain('Cedar');
    expect(await broken(api)).toEqual([]);
  });
});

describe('a turn that nobody has', () => {
  it('counts as not done once its week is over: due of nobody any more, and told to the coordinator', async () => {
    const { turns } = await publishRota(cooperative, await proposeRota(cooperative, asked));
    const [turn] = turns as [Turn];
    await release(turn);
    const before = await balances();
    const { rows } = await withClient(api.database.ownerUrl, (client) =>
      client.query<{ wait_ms: string }>(
        `SELECT extract(epoch FROM due_at - created_at) * 1000 AS wait_ms FROM job WHERE kind = 'close-turns' AND subject_id = $1`,
        [turn.id],
      ),
    );
    // The hour in which the week is over in Madrid.
    const due = new Date(NOW.getTime() + Number(rows[0]?.wait_ms)).toISOString();
    expect(due.slice(0, 13)).toBe('2026-12-06T23');

    api.config.now = new Date('2026-12-06T23:00:00.500Z');
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`UPDATE job SET due_at = now() WHERE kind = 'close-turns' AND subject_id = $1`, [turn.id]),
    );
    await until(async () => (await told()).length > 0);
    expect((await told()).map(({ facts }) => facts)).toEqual([{ n: 1, weekOn: '2026-11-30' }]);
    expect(await turnNow(turn)).toMatchObject({ state: 'not-done', household: null });
    const after = await balances();
    // 2, 2 and 5/2 of 13/2 of one turn, in millionths.
    for (const [name, share] of [
      ['Alder', 307_692],
      ['Birch', 307_692],
      ['Cedar', 384_615],
    ] as const) {
      expect(Math.abs((before[name] ?? 0) - (after[name] ?? 0) - share)).toBeLessThanOrEqual(1);
    }
    expect(Object.values(after).reduce((a, b) => a + b, 0)).toBe(0);
    const { version } = await turnNow(turn);
    const cover = await cooperative.coordinator.call(
      'POST',
      `${cooperative.path}/rota-turns/${turn.id}/cover`,
      { householdId: idOf('Alder') },
      { ifMatch: version },
    );
    expect([cover.status, cover.body['code']]).toEqual([409, 'turn-moved']);
    expect(await broken(api)).toEqual([]);
  });

  it('is closed with the next rota at the latest, once, and stays open until its week is over', async () => {
    const { turns } = await publishRota(cooperative, await proposeRota(cooperative, asked));
    const [first, second] = turns as [Turn, Turn];
    await release(first);
    await release(second);
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`DELETE FROM job WHERE cooperative_id = $1 AND kind = 'close-turns'`, [cooperative.id]),
    );
    api.config.now = new Date('2026-12-08T10:00:00Z');
    const later = { from: '2027-01-11', weeks: 1, team: 1 };
    await publishRota(cooperative, await proposeRota(cooperative, later));
    expect([(await turnNow(first)).state, (await turnNow(second)).state]).toEqual(['not-done', 'open']);
    await publishRota(cooperative, await proposeRota(cooperative, { ...later, from: '2027-01-18' }));
    expect(await told()).toHaveLength(1);
    expect(await broken(api)).toEqual([]);
  });
});
