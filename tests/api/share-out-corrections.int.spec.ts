import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { rational } from '@frostmoot/calc';
import type { ClaimAnswer, ShareOutView as View } from '../builders/claiming.ts';
import { brokenClaims, Claiming, containersOf, dishes, participants } from '../builders/claiming.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { startApi, type Api } from './harness.ts';

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

describe('a correction after the confirmation', () => {
  let round: SharedRound;
  beforeEach(async () => {
    round = await buildSharedRound(api, cooperative, { dishes, participants });
  });
  const correct = (body: object) =>
    cooperative.coordinator.call<View & ClaimAnswer>(
      'POST',
      `${cooperative.path}/share-outs/${round.view.shareOutId}/corrections`,
      body,
    );
  const balances = async () => {
    const { rows } = await at.sql(
      `SELECT h.name, a.balance FROM account a JOIN household h ON h.cooperative_id = a.cooperative_id AND h.id = a.household_id
       WHERE a.cooperative_id = $1 AND a.book = 'portions' AND a.balance <> 0`,
      [cooperative.id],
    );
    return Object.fromEntries(
      (rows as { name: string; balance: string }[]).map(({ name, balance }) => [name, balance]),
    );
  };

  const commonBalance = async () => {
    const { rows } = await at.sql(
      `SELECT balance FROM account WHERE cooperative_id = $1 AND book = 'portions' AND kind = 'common'`,
      [cooperative.id],
    );
    return (rows as { balance: string }[])[0]?.balance;
  };

  it('moves a container to who really has it, in the books too, and leaves the share-out as it was', async () => {
    const [box] = round.of('Birch');
    const { id } = cooperative.household('Cedar');
    const reason = 'It went into the wrong bag';
    const moved = await correct({ containerId: box?.id, kind: 'other-household', toHouseholdId: id, reason });
    expect(moved.status).toBe(201);
    expect(containersOf(moved.body, 'Cedar')).toContain(box?.id);
    expect(moved.body.parts.map(({ received }) => received)).toEqual(round.view.parts.map(({ received }) => received));
    expect(moved.body.corrections).toMatchObject([{ kind: 'other-household', reason, to: { name: 'Cedar' } }]);
    expect(await balances()).toEqual({ Birch: '4000000', Cedar: '-4000000' });
    expect(
      (await correct({ containerId: box?.id, kind: 'other-household', toHouseholdId: id, reason })).body.code,
    ).toBe('conflict');
    await expect(at.sql('DELETE FROM share_out_correction')).rejects.toThrow(/append-only/);
  });

  it('writes off what was broken, and the household is owed it again', async () => {
    const [box] = round.of('Birch');
    const broken = await correct({ containerId: box?.id, kind: 'broken', reason: 'The lid was open' });
    expect(broken.status).toBe(201);
    expect(await balances()).toEqual({ Birch: '4000000' });
    expect((await correct({ containerId: box?.id, kind: 'broken', reason: 'Again' })).body.code).toBe(
      'container-not-free',
    );
    // What the common account bears comes off everybody's target by headcount, so that targets add up to what there is.
    const next = await buildSharingRound(api, cooperative, { number: 2, dishes, participants });
    const shared = await at.confirm(await at.propose(next));
    const targets = shared.parts.map(({ target }) => rational.parse(target));
    expect(rational.format(rational.sum(targets))).toBe('24');
    expect(await commonBalance()).toBe('0');
  });

  it('is for the coordinator, for a round that is still open, and never brings what somebody must not eat', async () => {
    const [box] = round.of('Birch');
    const path = `${cooperative.path}/share-outs/${round.view.shareOutId}/corrections`;
    const byOther = await cooperative
      .household('Birch')
      .client.call('POST', path, { containerId: box?.id, kind: 'broken', reason: 'Ours' });
    expect(byOther.status).toBe(403);
    const missing = await correct({ containerId: box?.id, kind: 'other-household', reason: 'Somewhere' });
    expect(missing).toMatchObject({ status: 400, body: { code: 'invalid-input' } });
  });
});
