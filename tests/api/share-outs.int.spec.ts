import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { rational, verifyShareOut } from '@frostmoot/calc';
import type { ShareOutOutput } from '@frostmoot/calc';
import type { shareOut as contract } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharingRound } from '../builders/sharing-round.ts';
import { buildCommandLine, frostmoot } from '../calc/frostmoot.ts';
import { startApi, type Api } from './harness.ts';

type View = z.infer<typeof contract>;
const { add, cmp, div, eq, format, mul, parse, sub, sum } = rational;
const of = (n: number) => rational.rational(BigInt(n));

let api: Api;
let cooperative: BuiltCooperative;
beforeAll(async () => {
  buildCommandLine();
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api, { households: [{ name: 'Alder' }, { name: 'Birch' }, { name: 'Cedar' }] });
});

const three = [
  { household: 'Alder', weight: '2' },
  { household: 'Birch', weight: '7/2' },
  { household: 'Cedar', weight: '1' },
];
const stew = { name: 'Stew', containers: [4, 4, 4, 4, 2, 2] };
const pie = { name: 'Pie', containers: [6, 6, 3], unfitFor: ['wheat', 'gluten'] };

const propose = (roundId: string) =>
  cooperative.coordinator.ok<View>('POST', `${cooperative.path}/rounds/${roundId}/share-out`);
const confirm = ({ shareOutId, version }: View) =>
  cooperative.coordinator.ok<View>('POST', `${cooperative.path}/share-outs/${shareOutId}/confirm`, undefined, {
    ifMatch: version ?? 0,
  });
const balances = () =>
  withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ name: string; balance: string }>(
      `SELECT coalesce(h.name, a.kind) AS name, a.balance FROM account a
       LEFT JOIN household h ON h.cooperative_id = a.cooperative_id AND h.id = a.household_id WHERE a.cooperative_id = $1 AND a.book = 'portions'`,
      [cooperative.id],
    );
    return Object.fromEntries(rows.map(({ name, balance }) => [name, BigInt(balance)]));
  });

describe('a share-out', () => {
  it('starts with nothing shared and says what there is', async () => {
    const round = await buildSharingRound(api, cooperative, {
      dishes: [stew, { ...pie, open: true }],
      participants: three,
    });
    const view = await cooperative
      .household('Cedar')
      .client.ok<View>('GET', `${cooperative.path}/rounds/${round.id}/share-out`);
    expect(view).toMatchObject({
      state: 'none',
      shareOutId: null,
      totalPortions: 20,
      largestContainer: 4,
      batchesOpen: 1,
      parts: [],
    });
    expect(view.dishes).toEqual([
      { recipeId: round.containers[0]?.recipeId, name: 'Stew', portions: 20, containers: 6 },
    ]);
  });

  it('gives every household its weight’s part to within one container, and the sums can be done by hand', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew, pie], participants: three });
    const view = await confirm(await propose(round.id));
    expect(view).toMatchObject({
      state: 'confirmed',
      totalPortions: 35,
      largestContainer: 6,
      confirmedBy: 'Alder Adult',
      pool: [],
    });
    // 35 portions by weights 2, 7/2 and 1, worked out here again from nothing but those.
    const weights = { Alder: '2', Birch: '7/2', Cedar: '1' };
    for (const part of view.parts) {
      const weight = parse(weights[part.household.name as keyof typeof weights]);
      expect(part.entitlement).toBe(format(div(mul(of(35), weight), parse('13/2'))));
      expect(part.target).toBe(part.entitlement);
      expect(parse(part.received)).toEqual(of(part.containers.reduce((total, { portions }) => total + portions, 0)));
      const left = sub(parse(part.target), parse(part.received));
      expect(part.owedAfter).toBe(format(left));
      expect(cmp(rational.abs(left), of(6))).toBe(-1);
    }
    expect(view.parts.map(({ household }) => household.name)).toEqual(['Alder', 'Birch', 'Cedar']);
    const given = view.parts.flatMap(({ containers }) => containers);
    expect(given.map(({ id }) => id).sort()).toEqual(round.containers.map(({ id }) => id).sort());
    expect(given.every(({ claim, holder }) => claim === 'held' && holder !== null)).toBe(true);
  });

  it('books what was due and received, and what is left over is carried into the next round', async () => {
    const first = await buildSharingRound(api, cooperative, { dishes: [stew, pie], participants: three });
    const done = await confirm(await propose(first.id));
    const books = await balances();
    expect(Object.values(books).reduce((total, balance) => total + balance, 0n)).toBe(0n);
    for (const { household, owedAfter } of done.parts) {
      // The books count whole micro-portions: the exact figure cut or raised by less than one.
      const difference = sub(mul(parse(owedAfter), of(1_000_000)), rational.rational(books[household.name] ?? 0n));
      expect(cmp(rational.abs(difference), of(1))).toBe(-1);
    }
    const second = await buildSharingRound(api, cooperative, { number: 2, dishes: [stew], participants: three });
    const next = await propose(second.id);
    for (const { household, owedBefore, entitlement, target } of next.parts) {
      expect(parse(owedBefore)).toEqual(rational.rational(books[household.name] ?? 0n, 1_000_000n));
      expect(eq(parse(target), add(parse(entitlement), parse(owedBefore)))).toBe(true);
    }
    const fair = await confirm(next);
    expect(fair.fairness.map(({ roundNumber }) => roundNumber)).toEqual([1, 2]);
    for (const { after } of fair.fairness) {
      expect(cmp(rational.abs(sum(after.map(({ owed }) => parse(owed)))), of(1))).toBe(-1);
      expect(after.every(({ owed }) => cmp(rational.abs(parse(owed)), of(6)) < 0)).toBe(true);
    }
  });

  it('gives nobody what it must not eat, makes it whole from the rest, and tells only those who need to know', async () => {
    const round = await buildSharingRound(api, cooperative, {
      dishes: [stew, pie],
      participants: [
        three[0]!,
        { household: 'Birch', weight: '2', mustNot: ['wheat'] },
        { household: 'Cedar', weight: '1' },
      ],
    });
    const view = await confirm(await propose(round.id));
    const birch = view.parts.find(({ household }) => household.name === 'Birch');
    // 35 x 2/5 = 14 is within the 20 portions of stew, so its exclusion costs it nothing.
    expect(birch).toMatchObject({ entitlement: '14', short: '0', cannotEat: ['Pie'] });
    expect(birch?.containers.every(({ dish }) => dish === 'Stew')).toBe(true);
    const cannotEat = async (name: string) => {
      const seen = await cooperative
        .household(name)
        .client.ok<View>('GET', `${cooperative.path}/rounds/${round.id}/share-out`);
      return Object.fromEntries(seen.parts.map((part) => [part.household.name, part.cannotEat]));
    };
    expect(await cannotEat('Birch')).toEqual({ Alder: null, Birch: ['Pie'], Cedar: null });
    expect(await cannotEat('Cedar')).toEqual({ Alder: null, Birch: null, Cedar: [] });
    expect(await cannotEat('Alder')).toEqual({ Alder: [], Birch: ['Pie'], Cedar: [] });
  });

  it('tells only the holder where a container lies at home', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew], participants: three });
    const { parts } = await confirm(await propose(round.id));
    const { client } = cooperative.household('Birch');
    const [box] = parts.find(({ household }) => household.name === 'Birch')?.containers ?? [];
    await client.ok(
      'PATCH',
      `${cooperative.path}/containers/${box?.id}`,
      { place: 'Attic' },
      { ifMatch: box?.version ?? 0 },
    );
    const seenBy = async (name: string) =>
      (await cooperative.household(name).client.call('GET', `${cooperative.path}/rounds/${round.id}/share-out`)).text;
    expect(await seenBy('Birch')).toContain('Attic');
    expect(await seenBy('Cedar')).not.toContain('Attic');
    expect(await seenBy('Alder')).not.toContain('Attic');
  });

  it('counts an allergy that was told only after the round had started', async () => {
    const careful = await buildCooperative(api, {
      households: [{ name: 'Alder' }, { name: 'Birch', diners: [{ hard: ['wheat'] }] }],
    });
    cooperative = careful;
    const round = await buildSharingRound(api, careful, {
      dishes: [stew, pie],
      participants: [
        { household: 'Alder', weight: '1' },
        { household: 'Birch', weight: '1' },
      ],
    });
    const view = await propose(round.id);
    const birch = view.parts.find(({ household }) => household.name === 'Birch');
    expect(birch?.cannotEat).toEqual(['Pie']);
    expect(birch?.containers.some(({ dish }) => dish === 'Pie')).toBe(false);
  });

  it('keeps a proof that nothing is better, which the verifier accepts', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew, pie], participants: three });
    const { shareOutId } = await propose(round.id);
    const path = `${cooperative.path}/share-outs/${shareOutId}/proof`;
    const { input, result } = await cooperative.coordinator.ok<{ input: unknown; result: ShareOutOutput }>('GET', path);
    expect(result.proof).toBe('optimal');
    expect(verifyShareOut(input, result)).toEqual([]);
    // The file as it is fetched, given to the command line as it is.
    const file = await cooperative.coordinator.call('GET', path);
    expect(frostmoot(['verify-share-out'], file.text)).toMatchObject({ status: 0, stderr: '' });
    const moved = JSON.parse(file.text) as { result: ShareOutOutput; assigned: Record<string, string[]> };
    const [giver, taker] = Object.keys(moved.assigned);
    const [container] = moved.assigned[giver ?? '']?.splice(0, 1) ?? [];
    moved.assigned[taker ?? '']?.push(container ?? '');
    expect(frostmoot(['verify-share-out'], JSON.stringify(moved))).toMatchObject({ status: 1, stderr: '' });
    const hidden = await cooperative.household('Birch').client.call('GET', path);
    expect(hidden.status).toBe(403);
  });

  it('is worked out again as often as wished, and only the latest can be confirmed, once', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew], participants: three });
    const [former, latest] = [await propose(round.id), await propose(round.id)];
    const answer = await cooperative.coordinator.call(
      'POST',
      `${cooperative.path}/share-outs/${former.shareOutId}/confirm`,
      undefined,
      {
        ifMatch: former.version ?? 0,
      },
    );
    expect(answer.status).toBe(412);
    expect(
      (await cooperative.coordinator.call('POST', `${cooperative.path}/share-outs/${latest.shareOutId}/confirm`))
        .status,
    ).toBe(428);
    await confirm(latest);
    const again = await cooperative.coordinator.call('POST', `${cooperative.path}/rounds/${round.id}/share-out`);
    expect(again).toMatchObject({ status: 409, body: { code: 'already-confirmed' } });
  });

  it('refuses to confirm when a container has gone since, and moves nothing', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew], participants: three });
    const proposal = await propose(round.id);
    const [gone] = round.containers;
    await cooperative.coordinator.ok(
      'POST',
      `${cooperative.path}/containers/${gone?.id}/end`,
      { state: 'lost' },
      { ifMatch: 1 },
    );
    const refused = await cooperative.coordinator.call(
      'POST',
      `${cooperative.path}/share-outs/${proposal.shareOutId}/confirm`,
      undefined,
      {
        ifMatch: proposal.version ?? 0,
      },
    );
    expect(refused).toMatchObject({ status: 409, body: { code: 'conflict' } });
    const view = await cooperative.coordinator.ok<View>('GET', `${cooperative.path}/rounds/${round.id}/share-out`);
    expect(view.state).toBe('proposed');
    expect(view.parts.flatMap(({ containers }) => containers).every(({ holder }) => holder === null)).toBe(true);
    expect((await confirm(await propose(round.id))).totalPortions).toBe(20);
  });

  it('waits for every batch, for the stage, and for a coordinator', async () => {
    const open = await buildSharingRound(api, cooperative, {
      dishes: [stew, { ...pie, open: true }],
      participants: three,
    });
    const proposal = await propose(open.id);
    const early = await cooperative.coordinator.call(
      'POST',
      `${cooperative.path}/share-outs/${proposal.shareOutId}/confirm`,
      undefined,
      {
        ifMatch: proposal.version ?? 0,
      },
    );
    expect(early).toMatchObject({ status: 409, body: { code: 'round-not-ready', params: { batches: 1 } } });
    const cooking = await buildSharingRound(api, cooperative, {
      number: 2,
      stage: 'cooking',
      dishes: [stew],
      participants: three,
    });
    const stage = await cooperative.coordinator.call('POST', `${cooperative.path}/rounds/${cooking.id}/share-out`);
    expect(stage).toMatchObject({ status: 409, body: { code: 'round-stage' } });
    const other = await cooperative
      .household('Birch')
      .client.call('POST', `${cooperative.path}/rounds/${open.id}/share-out`);
    expect(other).toMatchObject({ status: 403, body: { code: 'forbidden' } });
  });

  it('does not exist for another cooperative', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes: [stew], participants: three });
    const { shareOutId } = await propose(round.id);
    const stranger = await buildCooperative(api);
    for (const path of [`rounds/${round.id}/share-out`, `share-outs/${shareOutId}/proof`]) {
      expect((await stranger.coordinator.call('GET', `${stranger.path}/${path}`)).status).toBe(404);
      expect((await stranger.coordinator.call('GET', `${cooperative.path}/${path}`)).status).toBe(404);
    }
    const taken = await stranger.coordinator.call(
      'POST',
      `${stranger.path}/share-outs/${shareOutId}/confirm`,
      undefined,
      { ifMatch: 1 },
    );
    expect(taken.status).toBe(404);
  });
});
