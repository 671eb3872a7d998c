import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { rational, type Rational } from '@frostmoot/calc';
import type { accounts, buying, kitchen, Problem, shareOut, swap } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, moveOn, NOW, startRound, stockPantry, type Pantry, type RoundAnswer } from '../builders/pantry.ts';
import { broken, moneyBalances } from './books.ts';
import { startApi, type Api, type Client } from './harness.ts';

type Buying = z.infer<typeof buying>;
type ShareOut = z.infer<typeof shareOut>;
type Accounts = z.infer<typeof accounts>;

const WEIGHTS: Record<string, Rational> = {
  Alder: rational.rational(2n),
  Birch: rational.rational(2n),
  Cedar: rational.rational(5n, 2n),
};
const NAMES = Object.keys(WEIGHTS);
const weightOf = (name: string): Rational => WEIGHTS[name] ?? rational.zero;
const whole = (count: number): Rational => rational.rational(BigInt(count));
/** amount x weight / weights of those who share it */
const partOf = (amount: number, name: string, sharing: readonly string[]): Rational =>
  rational.div(rational.mul(whole(amount), weightOf(name)), rational.sum(sharing.map(weightOf)));

describe('one round from plan to settled accounts', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
  let who: Client;
  let path: string;
  let roundId: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    ({ coordinator: who, path } = cooperative);
    pantry = await stockPantry(cooperative);
    roundId = (await startRound(cooperative, pantry)).id;
  });
  afterAll(() => api.stop());

  const at = (rest: string): string => `${path}/rounds/${roundId}${rest}`;
  const household = (name: string): string => cooperative.household(name).id;
  const round = (): Promise<RoundAnswer> => who.ok('GET', at(''));
  const openCodes = async (): Promise<string[]> => (await round()).openPoints.map(({ code }) => code);
  const portionBalances = () =>
    withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ name: string; balance: string }>(
        `SELECT coalesce(h.name, a.kind) AS name, a.balance::text FROM account a
         LEFT JOIN household h ON h.cooperative_id = a.cooperative_id AND h.id = a.household_id
         WHERE a.cooperative_id = $1 AND a.book = 'portions'`,
        [cooperative.id],
      );
      return Object.fromEntries(rows.map(({ name, balance }) => [name, Number(balance)]));
    });

  /** Lines of the money book by what they were for: amount and who shares it. */
  const spent: [amount: number, sharing: string[]][] = [];

  it('buys in whole packs; two households pay, and everybody is charged to the cent', async () => {
    await moveOn(cooperative, roundId, 'buying');
    const { lists } = await who.ok<Buying>('GET', at('/buying'));
    const payers: Record<string, string> = { Mill: 'Birch', Cart: 'Cedar' };
    const sharing: Record<string, string[]> = {
      Mince: ['Alder', 'Birch'],
      Lentils: ['Alder', 'Cedar'],
      Cream: ['Alder', 'Cedar'],
    };
    for (const { seller, lines, feeMinor } of lists) {
      const fee = feeMinor === '0' ? [] : [{ kind: 'fee', label: 'Delivery', amountMinor: feeMinor }];
      const body = {
        sellerId: seller.id,
        paidByHouseholdId: household(payers[seller.name] ?? ''),
        boughtOn: '2026-11-26',
        lines: [
          ...lines.map(({ id, label, packs, plannedMinor }) => ({
            purchaseId: id,
            label,
            packs,
            amountMinor: plannedMinor,
          })),
          ...fee,
        ],
      };
      await who.ok('POST', at('/receipts'), body);
      for (const { ingredient, plannedMinor } of lines)
        spent.push([Number(plannedMinor), sharing[ingredient.name] ?? NAMES]);
      if (fee.length > 0) spent.push([Number(feeMinor), NAMES]);
    }
    const { receipts } = await who.ok<Buying>('GET', at('/buying'));
    const mince = receipts.flatMap(({ lines }) => lines).find(({ label }) => label.startsWith('Mince'));
    const heavier = {
      kind: 'adjustment',
      lineId: mince?.id,
      on: '2026-11-26',
      reason: 'It weighed more',
      differenceMinor: '171',
    };
    await who.ok('POST', at('/receipt-corrections'), heavier);
    spent.push([171, ['Alder', 'Birch']]);
    const total = spent.reduce((sum, [amount]) => sum + amount, 0);
    expect(total).toBe(6890 + 171);
    expect((await round()).spentMinor).toBe(`${total}`);
    const paid: Record<string, number> = { Birch: 5955 + 171, Cedar: 935 };
    const balances = await moneyBalances(api, cooperative.id);
    for (const name of NAMES) {
      const due = rational.sum(
        spent.filter(([, names]) => names.includes(name)).map(([amount, names]) => partOf(amount, name, names)),
      );
      const charged = whole((paid[name] ?? 0) - (balances[name] ?? 0));
      expect(rational.cmp(rational.abs(rational.sub(due, charged)), rational.one)).toBe(-1);
    }
    expect(NAMES.reduce((sum, name) => sum + (balances[name] ?? 0), 0)).toBe(0);
    expect(await broken(api)).toEqual([]);
  });

  it('cooks; one batch comes out short', async () => {
    await moveOn(cooperative, roundId, 'cooking');
    const { batches } = await who.ok<z.infer<typeof kitchen>>('GET', at('/kitchen'));
    for (const { id, name, containerPlan, version } of batches) {
      const containers =
        name === 'Mince pot'
          ? [
              { portions: 4, count: 3 },
              { portions: 3, count: 1 },
            ]
          : containerPlan;
      await who.ok('PUT', `${path}/batches/${id}/yield`, { frozenOn: '2026-11-28', containers }, { ifMatch: version });
    }
    expect((await round()).portionsMade).toBe(47);
    expect(await openCodes()).toEqual(['portions-short', 'no-kitchen']);
    await moveOn(cooperative, roundId, 'sharing');
    expect(await openCodes()).toEqual(['share-out-missing']);
  });

  it('shares out by weight, to nobody what it must not eat', async () => {
    const proposed = await who.ok<ShareOut>('POST', at('/share-out'));
    const early = await who.call<Problem>(
      'POST',
      at('/stage'),
      { to: 'settled' },
      { ifMatch: (await round()).version },
    );
    expect([early.body.code, early.body.errors?.map(({ code }) => code)]).toEqual([
      'round-not-ready',
      ['share-out-missing'],
    ]);
    // A yield that is entered again makes the proposal void, since its containers are not there any more.
    const { batches } = await who.ok<z.infer<typeof kitchen>>('GET', at('/kitchen'));
    const pot = batches.find(({ name }) => name === 'Mince pot');
    const again = {
      frozenOn: '2026-11-28',
      containers: [
        { portions: 4, count: 3 },
        { portions: 3, count: 1 },
      ],
    };
    await who.ok('PUT', `${path}/batches/${pot?.id}/yield`, again, { ifMatch: pot?.version ?? 0 });
    const stale = await who.call<Problem>(
      'POST',
      `${path}/share-outs/${proposed.shareOutId}/confirm`,
      {},
      { ifMatch: proposed.version ?? 0 },
    );
    expect(stale.status).toBeGreaterThanOrEqual(400);
    const { shareOutId, version } = await who.ok<ShareOut>('POST', at('/share-out'));
    const shared = await who.ok<ShareOut>(
      'POST',
      `${path}/share-outs/${shareOutId}/confirm`,
      {},
      { ifMatch: version ?? 0 },
    );
    expect(shared.state).toBe('confirmed');
    expect(shared.parts.reduce((sum, { received }) => sum + Number(received), 0)).toBe(47);
    for (const {
      household: { name },
      entitlement,
      received,
      containers,
    } of shared.parts) {
      // Everybody can be made whole from what suits it, so the part is the plain one by weight.
      expect(entitlement).toBe(rational.format(partOf(47, name, NAMES)));
      expect(Math.abs(Number(received) - Number(rational.toDecimal(rational.parse(entitlement), 6)))).toBeLessThan(4);
      const dishes = new Set(containers.map(({ dish }) => dish));
      expect(dishes.has('Lentil cream') && name === 'Birch').toBe(false);
      expect(dishes.has('Mince pot') && name === 'Cedar').toBe(false);
      const balance = (await portionBalances())[name] ?? 0;
      const exact = rational.mul(rational.sub(rational.parse(entitlement), rational.parse(received)), whole(1_000_000));
      expect(Math.abs(balance - Number(rational.toDecimal(exact, 3)))).toBeLessThan(1);
    }
    const late = await who.call<Problem>('PUT', `${path}/batches/${pot?.id}/yield`, again, {
      ifMatch: (pot?.version ?? 0) + 1,
    });
    expect([late.status, late.body.code]).toEqual([409, 'already-confirmed']);
    const joins = { householdId: household('Birch'), fromDate: '2026-11-28', weight: '9', reason: 'Too late' };
    expect((await who.call<Problem>('POST', at('/participants'), joins)).body.code).toBe('round-stage');
    expect(await openCodes()).toEqual([]);
  });

  it('waits for a swap of its containers, and not for one that is answered', async () => {
    const { parts } = await who.ok<ShareOut>('GET', at('/share-out'));
    const held = (name: string) => parts.find((part) => part.household.name === name)?.containers ?? [];
    const bases = (name: string) => held(name).find(({ dish }) => dish === 'Red base')?.id;
    const proposal = {
      fromHouseholdId: household('Birch'),
      toHouseholdId: household('Cedar'),
      giveContainerIds: [bases('Birch')],
      getContainerIds: [bases('Cedar')],
    };
    const { client } = cooperative.household('Birch');
    const { id, version } = await client.ok<z.infer<typeof swap>>('POST', `${path}/swaps`, proposal);
    expect(await openCodes()).toEqual(['swap-open']);
    expect((await round()).next).toBeNull();
    await cooperative
      .household('Cedar')
      .client.ok('POST', `${path}/swaps/${id}/answer`, { answer: 'accept' }, { ifMatch: version });
    expect(await openCodes()).toEqual([]);
  });

  it('says what is left in the pool and settles all the same', async () => {
    const { parts } = await who.ok<ShareOut>('GET', at('/share-out'));
    const given = parts.find((part) => part.household.name === 'Alder')?.containers[0];
    await who.ok('POST', `${path}/containers/${given?.id}/release`, { householdId: household('Alder') });
    const { openPoints, next } = await round();
    expect(openPoints).toEqual([
      { code: 'pool-left', blocks: false, facts: { containers: 1, portions: given?.portions }, remedy: null },
    ]);
    expect(next).toBe('settled');
    const settled = await moveOn(cooperative, roundId, 'settled');
    expect(settled).toMatchObject({ stage: 'settled', next: null, openPoints: [], settledAt: NOW.toISOString() });
    const foil = {
      sellerId: pantry.sellers['Mill']?.id,
      paidByHouseholdId: household('Birch'),
      boughtOn: '2026-11-26',
      lines: [{ label: 'Foil', amountMinor: '1' }],
    };
    expect((await who.call<Problem>('POST', at('/receipts'), foil)).body.code).toBe('round-stage');
    const end = { to: 'settled' };
    expect((await who.call<Problem>('POST', at('/stage'), end, { ifMatch: settled.version })).body.code).toBe(
      'round-stage',
    );
  });

  it('still corrects a line, and the payments due bring every balance to nil', async () => {
    const { receipts } = await who.ok<Buying>('GET', at('/buying'));
    const cream = receipts.flatMap(({ lines }) => lines).find(({ label }) => label.startsWith('Cream'));
    await who.ok('POST', at('/receipt-corrections'), {
      kind: 'refund',
      lineId: cream?.id,
      on: '2026-11-28',
      reason: 'One pot was sour',
    });
    expect((await round()).spentMinor).toBe(`${6890 + 171 - 240}`);
    const { paymentsDue, households } = await who.ok<Accounts>('GET', `${path}/accounts`);
    const before = await moneyBalances(api, cooperative.id);
    for (const {
      household: { name },
      moneyMinor,
    } of households)
      expect(moneyMinor).toBe(`${before[name] ?? 0}`);
    expect(paymentsDue.length).toBeLessThan(NAMES.length);
    for (const { from, to, amountMinor } of paymentsDue) {
      await who.ok('POST', `${path}/payments`, {
        fromHouseholdId: from.id,
        toHouseholdId: to.id,
        amountMinor,
        on: '2026-11-28',
      });
    }
    expect(Object.values(await moneyBalances(api, cooperative.id)).every((balance) => balance === 0)).toBe(true);
    expect(Object.values(await portionBalances()).reduce((sum, balance) => sum + balance, 0)).toBe(0);
    expect(await broken(api)).toEqual([]);
  });
});
