import { afterAll, afterEach, beforeAll, describe, expect, it } from '@jest/globals';
import { rational, type Rational } from '@frostmoot/calc';
import type { Problem, statement } from '@frostmoot/contract';
import type { z } from 'zod';
import { BuyingRound, lineOf, listOf, paidBy, type Line, type Receipt } from '../builders/buying-round.ts';
import { buildCooperative } from '../builders/cooperative.ts';
import { NOW, startRound } from '../builders/pantry.ts';
import { broken, carriedOf, moneyBalances } from './books.ts';
import { fault } from './fault.ts';
import { startApi, type Api } from './harness.ts';

type Statement = z.infer<typeof statement>;

describe('receipts of a round', () => {
  let api: Api;
  let cooperativeId: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());
  afterEach(async () => {
    expect(await broken(api)).toEqual([]);
    const balances = await moneyBalances(api, cooperativeId);
    expect(Object.values(balances).reduce((sum, amount) => sum + amount, 0)).toBe(0);
    // What is bought is split at once, so nothing stays with the goods.
    expect(balances['stock'] ?? 0).toBe(0);
  });

  async function begin(): Promise<BuyingRound> {
    const round = await BuyingRound.build(api);
    cooperativeId = round.cooperative.id;
    return round;
  }

  const WEIGHTS = new Map([
    ['Alder', rational.rational(2n)],
    ['Birch', rational.rational(2n)],
    ['Cedar', rational.rational(5n, 2n)],
  ]);
  /** What each household owes of lines by the definition alone: amount x weight / weights of those who share. */
  function exactOf(lines: readonly [amount: number, ...names: string[]][]): Map<string, Rational> {
    const due = new Map<string, Rational>();
    for (const [amount, ...names] of lines) {
      const all = rational.sum(names.map((name) => WEIGHTS.get(name) as Rational));
      for (const name of names) {
        const part = rational.div(rational.mul(rational.rational(BigInt(amount)), WEIGHTS.get(name) as Rational), all);
        due.set(name, rational.add(due.get(name) ?? rational.zero, part));
      }
    }
    return due;
  }
  const ALL = ['Alder', 'Birch', 'Cedar'] as const;

  it('splits a receipt at once among those who can eat what each line goes into', async () => {
    const round = await begin();
    const fee = { kind: 'fee', label: 'Delivery', amountMinor: '250' };
    const { status, body } = await round.enter(round.receipt('Mill', 'Birch', [...round.goods('Mill'), fee]));
    expect([status, body.totalMinor, body.createdBy]).toEqual([201, '5955', 'Alder Adult']);
    // Mince goes into one dish, which Cedar does not eat.
    expect(paidBy(lineOf(body, 'Mince'))).toEqual({ Alder: 1296, Birch: 1296 });
    expect(lineOf(body, 'Mince').split.map(({ share, of }) => [share, of])).toEqual([
      ['2', '4'],
      ['2', '4'],
    ]);
    expect(lineOf(body, 'Tomatoes').split.map(({ share, of }) => [share, of])).toEqual([
      ['2', '13/2'],
      ['2', '13/2'],
      ['5/2', '13/2'],
    ]);
    const due = exactOf([
      [2592, 'Alder', 'Birch'],
      [460, ...ALL],
      [2653, ...ALL],
      [250, ...ALL],
    ]);
    const balances = await moneyBalances(api, round.cooperative.id);
    const carried = await carriedOf(api, round.cooperative.id);
    for (const [name, exact] of due) {
      const paid = -(balances[name] ?? 0) + (name === 'Birch' ? 5955 : 0);
      expect(rational.format(rational.sub(exact, rational.rational(BigInt(paid))))).toBe(carried[name]);
      expect(Math.abs(paid - Number(rational.toDecimal(exact, 6)))).toBeLessThan(1);
    }
    const after = await round.read();
    expect(after.spentMinor).toBe('5955');
    expect(
      listOf(after, 'Mill').lines.every(({ bought, paidMinor, plannedMinor }) => bought && paidMinor === plannedMinor),
    ).toBe(true);
    expect(listOf(after, 'Cart').lines.some(({ bought }) => bought)).toBe(false);
  });

  it('says in the statement who paid where, and the part of each before rounding', async () => {
    const round = await begin();
    const fee = { kind: 'fee', label: 'Delivery', amountMinor: '250' };
    await round.enter(round.receipt('Mill', 'Birch', [...round.goods('Mill'), fee]));
    const due = exactOf([
      [2592, 'Alder', 'Birch'],
      [460, ...ALL],
      [2653, ...ALL],
      [250, ...ALL],
    ]);
    for (const name of ALL) {
      const path = `${round.cooperative.path}/accounts/${round.household(name)}/statement?book=money`;
      const { lines } = await round.who.ok<Statement>('GET', path);
      const part = lines.find(({ kind }) => kind === 'cost-split');
      expect(part?.facts).toMatchObject({
        paidBy: 'Birch',
        seller: 'Mill',
        totalMinor: '5955',
        exactMinor: rational.format(due.get(name) as Rational),
      });
    }
  });

  it('lets no household drift by a cent over many receipts', async () => {
    const round = await begin();
    const lines: [number, ...string[]][] = [];
    for (let index = 1; index <= 12; index += 1) {
      const [cream, foil] = [100 + index * 7, 11 + index];
      await round.enter(
        round.receipt('Cart', 'Cedar', [
          { ingredientId: round.pantry.ingredients['Cream']?.id, label: 'Cream', amountMinor: `${cream}` },
          { label: 'Foil', amountMinor: `${foil}` },
        ]),
      );
      lines.push([cream, 'Alder', 'Cedar'], [foil, ...ALL]);
    }
    const total = lines.reduce((sum, [amount]) => sum + amount, 0);
    const balances = await moneyBalances(api, round.cooperative.id);
    for (const [name, exact] of exactOf(lines)) {
      const paid = -(balances[name] ?? 0) + (name === 'Cedar' ? total : 0);
      expect(Math.abs(paid - Number(rational.toDecimal(exact, 6)))).toBeLessThan(1);
    }
  });

  it('books the difference of a catch weight with the shares of its line, and leaves the line alone', async () => {
    const round = await begin();
    const { body: first } = await round.enter(round.receipt('Mill', 'Birch', round.goods('Mill')));
    const mince = lineOf(first, 'Mince');
    const difference = { kind: 'adjustment', lineId: mince.id, on: '2026-11-27', reason: 'It weighed 3.41 kg' };
    const { status, body } = await round.correct({ ...difference, differenceMinor: '171', actualQuantity: '3.41' });
    expect([status, body.totalMinor, body.paidBy.name, body.note]).toEqual([201, '171', 'Birch', 'It weighed 3.41 kg']);
    expect(body.lines[0]).toMatchObject({ kind: 'adjustment', correctsLineId: mince.id, actualQuantity: '341/100' });
    const parts = Object.values(paidBy(body.lines[0] as Line)).sort();
    expect(parts).toEqual([85, 86]);
    const after = await round.read();
    expect(lineOf(after.receipts.at(-1) as Receipt, 'Mince')).toEqual(mince);
    expect(after.spentMinor).toBe(`${2592 + 460 + 2653 + 171}`);
    expect(listOf(after, 'Mill').lines[0]?.paidMinor).toBe(`${2592 + 171}`);
    expect(fault(await round.correct({ ...difference, differenceMinor: '0' }))).toEqual([
      400,
      'invalid-input',
      '#/differenceMinor',
    ]);
    expect(fault(await round.correct({ ...difference, differenceMinor: '-2764' }))).toEqual([
      400,
      'invalid-input',
      '#/differenceMinor',
    ]);
    const again = { ...difference, lineId: body.lines[0]?.id, differenceMinor: '1' };
    expect(fault(await round.correct(again))).toEqual([400, 'invalid-input', '#/lineId']);
  });

  it('gives a line back whole, so that everybody stands where they stood before', async () => {
    const round = await begin();
    const cart = round.goods('Cart');
    await round.enter(round.receipt('Cart', 'Cedar', cart));
    const [balances, carried] = [
      await moneyBalances(api, round.cooperative.id),
      await carriedOf(api, round.cooperative.id),
    ];
    const { body: second } = await round.enter(round.receipt('Cart', 'Birch', [{ label: 'Foil', amountMinor: '101' }]));
    const foil = second.lines[0] as Line;
    await round.correct({
      kind: 'adjustment',
      lineId: foil.id,
      on: '2026-11-27',
      reason: 'Read wrongly',
      differenceMinor: '-6',
    });
    const refund = { kind: 'refund', lineId: foil.id, on: '2026-11-28', reason: 'Given back' };
    const { status, body } = await round.correct(refund);
    expect([status, body.totalMinor]).toEqual([201, '-95']);
    expect(await moneyBalances(api, round.cooperative.id)).toEqual(balances);
    expect(await carriedOf(api, round.cooperative.id)).toEqual(carried);
    expect((await round.read()).spentMinor).toBe('935');
    expect(fault(await round.correct(refund))).toEqual([409, 'conflict']);
    const more = { kind: 'adjustment', lineId: foil.id, on: '2026-11-28', reason: 'After that', differenceMinor: '5' };
    expect(fault(await round.correct(more))).toEqual([409, 'conflict']);
  });

  it('shares by the weights of the day on which it was bought', async () => {
    const round = await begin();
    await round.who.ok('POST', `${round.path}/participants`, {
      householdId: round.household('Alder'),
      fromDate: '2026-11-26',
      weight: '0',
      reason: 'Moves away',
    });
    const tomatoes = [
      { ingredientId: round.pantry.ingredients['Tomatoes']?.id, label: 'Tomatoes', amountMinor: '900' },
    ];
    const before = await round.enter(round.receipt('Mill', 'Birch', tomatoes, { boughtOn: '2026-11-25' }));
    expect(paidBy(before.body.lines[0] as Line)).toEqual({ Alder: 277, Birch: 277, Cedar: 346 });
    const after = await round.enter(round.receipt('Mill', 'Birch', tomatoes));
    expect(paidBy(after.body.lines[0] as Line)).toEqual({ Birch: 400, Cedar: 500 });
  });

  it('takes a household that joined late in from its day on', async () => {
    const round = await begin();
    const dover = await round.who.ok<{ id: string; version: number }>('POST', `${round.cooperative.path}/households`, {
      name: 'Dover',
    });
    await round.who.ok('POST', `${round.cooperative.path}/households/${dover.id}/diners`, {
      name: 'Dee',
      ageBand: 'adult',
    });
    const fee = [{ kind: 'fee', label: 'Delivery', amountMinor: '1500' }];
    const late = round.receipt('Mill', 'Birch', fee, { paidByHouseholdId: dover.id });
    expect(fault(await round.enter(late))).toEqual([422, 'participant-missing', '#/paidByHouseholdId']);
    const joined = { householdId: dover.id, fromDate: '2026-11-26', reason: 'Joined late' };
    await round.who.ok('POST', `${round.path}/participants`, joined);
    // 13/2 and one adult more: 15/2.
    const { body } = await round.enter(late);
    expect(paidBy(body.lines[0] as Line)).toEqual({ Alder: 400, Birch: 400, Cedar: 500, Dover: 200 });
    const earlier = await round.enter(
      round.receipt('Mill', 'Birch', [{ label: 'Foil', amountMinor: '1300' }], { boughtOn: '2026-11-25' }),
    );
    expect(paidBy(earlier.body.lines[0] as Line)).toEqual({ Alder: 400, Birch: 400, Cedar: 500 });
  });

  it('enters a receipt once however often it is sent', async () => {
    const round = await begin();
    const body = round.receipt('Cart', 'Cedar', round.goods('Cart'));
    const send = (sent: object) =>
      round.who.call<Receipt & Problem>('POST', `${round.path}/receipts`, sent, { key: 'the-same-key-twice' });
    const first = await send(body);
    const second = await send(body);
    expect([first.status, second.status, second.text]).toEqual([201, 201, first.text]);
    expect((await round.read()).receipts).toHaveLength(1);
    expect((await send({ ...body, note: 'Other' })).body.code).toBe('idempotency-key-reused');
    const missing = await round.who.call<Problem>('POST', `${round.path}/receipts`, body, { key: null });
    expect(fault(missing)).toEqual([400, 'idempotency-key-missing']);
  });

  it('refuses what cannot be, at its place, and writes nothing of it', async () => {
    const round = await begin();
    const [mince] = listOf(round.lists, 'Mill').lines;
    const onions = round.pantry.ingredients['Onions']?.id;
    const refusals: [object[], object, (string | number)[]][] = [
      [
        [
          { purchaseId: round.roundId, label: 'x', amountMinor: '1' },
          { ingredientId: round.roundId, label: 'x', amountMinor: '1' },
          { purchaseId: mince?.id, ingredientId: onions, label: 'x', amountMinor: '1' },
          { kind: 'fee', ingredientId: onions, label: 'x', amountMinor: '1' },
        ],
        {},
        [
          400,
          'invalid-input',
          '#/lines/0/purchaseId',
          '#/lines/1/ingredientId',
          '#/lines/2/ingredientId',
          '#/lines/3/kind',
        ],
      ],
      [[{ label: 'x', amountMinor: '-1' }], {}, [400, 'invalid-input', '#/lines/0/amountMinor']],
      [[{ label: 'x', amountMinor: '1.5' }], {}, [400, 'invalid-input', '#/lines/0/amountMinor']],
      [[{ label: 'x', amountMinor: '0' }], {}, [400, 'invalid-input', '#/lines']],
      [[{ label: 'x', amountMinor: '5', unit: 'bucketful' }], {}, [422, 'unknown-unit', '#/lines/0/unit']],
      [
        [{ ingredientId: onions, label: 'x', amountMinor: '5', unit: 'L' }],
        {},
        [422, 'density-missing', '#/lines/0/unit'],
      ],
      [[{ label: 'x', amountMinor: '5' }], { boughtOn: '2026-11-29' }, [400, 'invalid-input', '#/boughtOn']],
      [[{ label: 'x', amountMinor: '5' }], { sellerId: round.roundId }, [400, 'invalid-input', '#/sellerId']],
    ];
    for (const [lines, more, expected] of refusals) {
      expect(fault(await round.enter(round.receipt('Mill', 'Birch', lines, more)))).toEqual(expected);
    }
    const { id: planned } = await startRound(round.cooperative, round.pantry);
    const early = await round.who.call<Problem>(
      'POST',
      `${round.cooperative.path}/rounds/${planned}/receipts`,
      round.receipt('Mill', 'Birch', [{ label: 'x', amountMinor: '5' }]),
    );
    expect(fault(early)).toEqual([409, 'round-stage']);
    expect(early.body.params).toMatchObject({ stage: 'planning' });
    const line = { kind: 'refund', lineId: round.roundId, on: '2026-11-27', reason: 'Wrong' };
    expect(fault(await round.correct(line))).toEqual([400, 'invalid-input', '#/lineId']);
    expect((await round.read()).receipts).toEqual([]);
    expect(await moneyBalances(api, round.cooperative.id)).toEqual({});
  });

  it('takes a receipt from a household about its own payment, not about another’s', async () => {
    const round = await begin();
    const { client } = round.cooperative.household('Birch');
    const lines = [{ label: 'Foil', amountMinor: '65' }];
    expect((await round.enter(round.receipt('Cart', 'Cedar', lines), client)).status).toBe(403);
    expect((await round.enter(round.receipt('Cart', 'Birch', lines), client)).status).toBe(201);
    const other = await buildCooperative(api);
    const theirs = await other.coordinator.call('GET', `${other.path}/rounds/${round.roundId}/buying`);
    expect(theirs.status).toBe(404);
  });
});
