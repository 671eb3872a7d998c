import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { rational } from '@frostmoot/calc';
import { broken, carriedOf, moneyBalances } from '../api/books.ts';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, moveOn, NOW, startRound, stockPantry } from '../builders/pantry.ts';

describe('receipts at the same moment', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());

  it('are all split by what the others have left over, in one round and across two', async () => {
    const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const rounds = [await startRound(cooperative, pantry), await startRound(cooperative, pantry)];
    for (const { id } of rounds) await moveOn(cooperative, id, 'buying');
    // 100 among 4/13, 4/13 and 5/13 is never whole, so that every receipt depends on what was carried before it.
    const payers = ['Birch', 'Cedar', 'Alder', 'Birch', 'Cedar', 'Birch', 'Alder', 'Cedar'];
    const answers = await Promise.all(
      payers.map((payer, index) =>
        who.call('POST', `${path}/rounds/${rounds[index % 2]?.id}/receipts`, {
          sellerId: pantry.sellers['Mill']?.id,
          paidByHouseholdId: cooperative.household(payer).id,
          boughtOn: '2026-11-26',
          lines: [{ kind: 'fee', label: 'Delivery', amountMinor: '100' }],
        }),
      ),
    );
    expect(answers.map(({ status }) => status)).toEqual(payers.map(() => 201));
    const balances = await moneyBalances(api, cooperative.id);
    const carried = await carriedOf(api, cooperative.id);
    const paidIn = (name: string): number => payers.filter((payer) => payer === name).length * 100;
    for (const [name, weight] of [
      ['Alder', 4n],
      ['Birch', 4n],
      ['Cedar', 5n],
    ] as const) {
      const charged = paidIn(name) - (balances[name] ?? 0);
      const due = rational.rational(800n * weight, 13n);
      expect(rational.format(rational.sub(due, rational.rational(BigInt(charged))))).toBe(carried[name]);
      expect(Math.abs(charged - Number(rational.toDecimal(due, 6)))).toBeLessThan(1);
    }
    expect(balances['stock']).toBe(0);
    expect(await broken(api)).toEqual([]);
  });

  it('are one receipt when they are one request sent twice', async () => {
    const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const { id } = await startRound(cooperative, pantry);
    await moveOn(cooperative, id, 'buying');
    const body = {
      sellerId: pantry.sellers['Mill']?.id,
      paidByHouseholdId: cooperative.household('Birch').id,
      boughtOn: '2026-11-26',
      lines: [{ kind: 'fee', label: 'Delivery', amountMinor: '100' }],
    };
    const send = () =>
      who.call<{ code?: string }>('POST', `${path}/rounds/${id}/receipts`, body, { key: 'pressed-twice' });
    const answers = await Promise.all([send(), send(), send()]);
    for (const { status, body: answer } of answers) {
      expect([201, 409]).toContain(status);
      if (status === 409) expect(answer.code).toBe('idempotency-key-in-use');
    }
    const { spentMinor, receipts } = await who.ok<{ spentMinor: string; receipts: unknown[] }>(
      'GET',
      `${path}/rounds/${id}/buying`,
    );
    expect([spentMinor, receipts.length]).toEqual(['100', 1]);
  });

  it('give a line back once however many ask', async () => {
    const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const { id } = await startRound(cooperative, pantry);
    await moveOn(cooperative, id, 'buying');
    const { lines } = await who.ok<{ lines: { id: string }[] }>('POST', `${path}/rounds/${id}/receipts`, {
      sellerId: pantry.sellers['Mill']?.id,
      paidByHouseholdId: cooperative.household('Birch').id,
      boughtOn: '2026-11-26',
      lines: [{ kind: 'fee', label: 'Delivery', amountMinor: '101' }],
    });
    const refund = { kind: 'refund', lineId: lines[0]?.id, on: '2026-11-27', reason: 'Given back' };
    const send = () => who.call('POST', `${path}/rounds/${id}/receipt-corrections`, refund);
    const statuses = (await Promise.all([send(), send(), send(), send()])).map(({ status }) => status);
    expect(statuses.sort()).toEqual([201, 409, 409, 409]);
    expect(await moneyBalances(api, cooperative.id)).toEqual({ Alder: 0, Birch: 0, Cedar: 0, stock: 0 });
    expect(await carriedOf(api, cooperative.id)).toEqual({ Alder: '0', Birch: '0', Cedar: '0' });
  });
});
