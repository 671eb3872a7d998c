import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import type { accounts, statement } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { startApi, type Api, type CallOptions } from './harness.ts';

type Accounts = z.infer<typeof accounts>;
type Statement = z.infer<typeof statement>;

let api: Api;
let cooperative: BuiltCooperative;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api, {
    households: [{ name: 'Alder' }, { name: 'Birch' }, { name: 'Cedar' }, { name: 'Dogwood' }],
  });
});

const idOf = (name: string) => cooperative.household(name).id;
const pay = (who: string, from: string, to: string, amountMinor: string, options: CallOptions = {}, more = {}) =>
  cooperative
    .household(who)
    .client.call<{ entryId: string; code?: string; errors?: { pointer: string }[] }>(
      'POST',
      `${cooperative.path}/payments`,
      { fromHouseholdId: idOf(from), toHouseholdId: idOf(to), amountMinor, on: '2026-11-22', ...more },
      options,
    );
const statementOf = (name: string, book: 'money' | 'portions', who = name) =>
  cooperative
    .household(who)
    .client.ok<Statement>('GET', `${cooperative.path}/accounts/${idOf(name)}/statement?book=${book}`);
const reverse = (who: string, entryId: string, reason = 'Entered twice') =>
  cooperative
    .household(who)
    .client.call<{ entryId: string; code?: string }>('POST', `${cooperative.path}/entries/${entryId}/reversal`, {
      reason,
    });
const all = (who = 'Dogwood') => cooperative.household(who).client.ok<Accounts>('GET', `${cooperative.path}/accounts`);

describe('accounts', () => {
  it('start empty, with every household at nil', async () => {
    const seen = await all();
    expect(
      seen.households.map(({ household, moneyMinor, portionsMicro }) => [household.name, moneyMinor, portionsMicro]),
    ).toEqual(['Alder', 'Birch', 'Cedar', 'Dogwood'].map((name) => [name, '0', '0']));
    expect(seen).toMatchObject({ paymentsDue: [], wholeUnitPayments: [], paymentsProof: 'optimal' });
    expect(await statementOf('Alder', 'money')).toMatchObject({ balance: '0', lines: [] });
  });

  it('name the fewest payments that settle them, to the cent and in whole units', async () => {
    // Alder is owed 12.50 by Birch and Cedar 7.00 by Dogwood: two pairs that sum to nil, so two payments.
    await pay('Alder', 'Alder', 'Birch', '1250');
    await pay('Cedar', 'Cedar', 'Dogwood', '700');
    const seen = await all();
    expect(
      Object.fromEntries(seen.households.map(({ household, moneyMinor }) => [household.name, moneyMinor])),
    ).toEqual({
      Alder: '1250',
      Birch: '-1250',
      Cedar: '700',
      Dogwood: '-700',
    });
    const due = seen.paymentsDue.map(({ from, to, amountMinor }) => `${from.name} ${to.name} ${amountMinor}`).sort();
    expect(due).toEqual(['Birch Alder 1250', 'Dogwood Cedar 700']);
    expect(seen.paymentsProof).toBe('optimal');
    for (const { amountMinor } of seen.wholeUnitPayments) expect(Number(amountMinor) % 100).toBe(0);
    expect(
      seen.wholeUnitPayments.some(({ from, amountMinor }) => from.name === 'Dogwood' && amountMinor === '700'),
    ).toBe(true);
  });

  it('show each payment in both statements with who paid whom, and the running balance', async () => {
    await pay('Birch', 'Birch', 'Alder', '500', {}, { note: 'for the tray' });
    await pay('Alder', 'Alder', 'Birch', '120');
    const birch = await statementOf('Birch', 'money');
    expect(birch.lines.map(({ kind, amount, balance, by }) => [kind, amount, balance, by])).toEqual([
      ['payment', '500', '500', 'Birch Adult'],
      ['payment', '-120', '380', 'Alder Adult'],
    ]);
    expect(birch.balance).toBe('380');
    expect(birch.lines[0]).toMatchObject({
      on: '2026-11-22',
      facts: { from: 'Birch', to: 'Alder', note: 'for the tray' },
    });
    expect((await statementOf('Alder', 'money', 'Cedar')).balance).toBe('-380');
  });

  it('show a share-out as what was due and what was received, with the numbers of the sum', async () => {
    await buildSharedRound(api, cooperative, {
      number: 7,
      dishes: [{ name: 'Stew', containers: [4, 4, 4, 2] }],
      participants: [
        { household: 'Alder', weight: '3/2' },
        { household: 'Birch', weight: '1' },
      ],
    });
    const { lines, balance } = await statementOf('Alder', 'portions');
    // 14 x 3/2 / (5/2) = 42/5 = 8.4 portions were due.
    expect(lines[0]).toMatchObject({
      kind: 'share-out',
      roundNumber: 7,
      amount: '8400000',
      balance: '8400000',
      facts: { part: 'due', weight: '3/2', totalWeight: '5/2', totalPortions: 14, entitlement: '42/5', round: 7 },
    });
    expect(lines[1]?.facts).toMatchObject({ part: 'received' });
    expect(BigInt(lines[1]?.amount ?? 0) % 1_000_000n).toBe(0n);
    expect(balance).toBe((8_400_000n + BigInt(lines[1]?.amount ?? 0)).toString());
    const seen = await all();
    const alder = seen.households.find(({ household }) => household.name === 'Alder');
    expect(alder?.portionsMicro).toBe(balance);
  });

  it('correct a payment by a line that names it, once, and leave the old one as it was', async () => {
    const { body } = await pay('Birch', 'Birch', 'Alder', '500');
    expect(await reverse('Cedar', body.entryId)).toMatchObject({ status: 403 });
    const reversal = await reverse('Birch', body.entryId);
    expect(reversal.status).toBe(201);
    const { lines, balance } = await statementOf('Birch', 'money');
    expect(balance).toBe('0');
    expect(lines.map(({ kind, amount, reverses, reversed }) => ({ kind, amount, reverses, reversed }))).toEqual([
      { kind: 'payment', amount: '500', reverses: null, reversed: true },
      { kind: 'reversal', amount: '-500', reverses: body.entryId, reversed: false },
    ]);
    expect(lines[1]?.reason).toBe('Entered twice');
    expect(await reverse('Birch', body.entryId)).toMatchObject({ status: 409, body: { code: 'already-confirmed' } });
    expect(await reverse('Birch', reversal.body.entryId)).toMatchObject({ status: 409, body: { code: 'conflict' } });
  });

  it('are corrected by hand only where they are payments', async () => {
    await buildSharedRound(api, cooperative, {
      dishes: [{ name: 'Stew', containers: [4, 4] }],
      participants: [
        { household: 'Alder', weight: '1' },
        { household: 'Birch', weight: '1' },
      ],
    });
    const [line] = (await statementOf('Alder', 'portions')).lines;
    expect(await reverse('Alder', line!.entryId)).toMatchObject({ status: 409, body: { code: 'conflict' } });
    expect(await reverse('Alder', randomUUID())).toMatchObject({ status: 404 });
  });

  it('refuse a payment of nil, to oneself, of a day to come, of a stranger, by a third household; and write nothing', async () => {
    expect(await pay('Birch', 'Birch', 'Alder', '0')).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/amountMinor' }] },
    });
    expect(await pay('Birch', 'Birch', 'Birch', '5')).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/toHouseholdId' }] },
    });
    expect(await pay('Birch', 'Birch', 'Alder', '-5')).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/amountMinor' }] },
    });
    expect(await pay('Birch', 'Birch', 'Alder', '5', {}, { on: '9999-12-31' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/on', code: 'in-the-future' }] },
    });
    expect(await pay('Cedar', 'Birch', 'Alder', '5')).toMatchObject({ status: 403 });
    const stranger = await buildCooperative(api);
    const missing = await pay('Birch', 'Birch', 'Alder', '5', {}, { toHouseholdId: stranger.households[0]?.id });
    expect(missing).toMatchObject({ status: 422, body: { code: 'participant-missing' } });
    expect((await statementOf('Birch', 'money')).lines).toEqual([]);
    // A coordinator may enter what two others have settled.
    expect(await pay('Alder', 'Birch', 'Cedar', '5')).toMatchObject({ status: 201 });
  });

  it('take a payment once, however often it is sent', async () => {
    const key = randomUUID();
    const [first, second] = [
      await pay('Birch', 'Birch', 'Alder', '500', { key }),
      await pay('Birch', 'Birch', 'Alder', '500', { key }),
    ];
    expect(second.body).toEqual(first.body);
    expect((await statementOf('Birch', 'money')).lines).toHaveLength(1);
  });

  it('stay right under many payments at once', async () => {
    const names = ['Alder', 'Birch', 'Cedar', 'Dogwood'];
    const payments = Array.from(
      { length: 24 },
      (_, index) => [names[index % 4]!, names[(index + 1 + (index % 3)) % 4]!, 100 + index] as const,
    );
    const answers = await Promise.all(payments.map(([from, to, amount]) => pay(from, from, to, String(amount))));
    expect(answers.every(({ status }) => status === 201)).toBe(true);
    const expected = new Map(names.map((name) => [name, 0]));
    for (const [from, to, amount] of payments) {
      expected.set(from, (expected.get(from) ?? 0) + amount);
      expected.set(to, (expected.get(to) ?? 0) - amount);
    }
    const seen = await all();
    expect(new Map(seen.households.map(({ household, moneyMinor }) => [household.name, Number(moneyMinor)]))).toEqual(
      expected,
    );
    // What is due brings everybody to nil.
    for (const { from, to, amountMinor } of seen.paymentsDue) {
      expected.set(from.name, (expected.get(from.name) ?? 0) + Number(amountMinor));
      expected.set(to.name, (expected.get(to.name) ?? 0) - Number(amountMinor));
    }
    expect([...expected.values()].every((balance) => balance === 0)).toBe(true);
  });

  it('do not exist for another cooperative', async () => {
    const { body } = await pay('Birch', 'Birch', 'Alder', '500');
    const stranger = await buildCooperative(api);
    const { coordinator, path } = stranger;
    expect((await coordinator.call('GET', `${path}/accounts/${idOf('Birch')}/statement?book=money`)).status).toBe(404);
    expect(
      (await coordinator.call('POST', `${path}/entries/${body.entryId}/reversal`, { reason: 'not mine' })).status,
    ).toBe(404);
    expect((await coordinator.call('GET', `${cooperative.path}/accounts`)).status).toBe(404);
  });
});
