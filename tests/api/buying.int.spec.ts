import { afterAll, afterEach, beforeAll, describe, expect, it } from '@jest/globals';
import { rational, type Rational } from '@frostmoot/calc';
import type { buying, offers, Problem, purchase, receipt } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { addOffer, HOUSEHOLDS, moveOn, NOW, startRound, stockPantry, type Pantry } from '../builders/pantry.ts';
import { broken, carriedOf, moneyBalances } from './books.ts';
import { startApi, type Api, type Client } from './harness.ts';

type Buying = z.infer<typeof buying>;
type Receipt = z.infer<typeof receipt>;
type Line = Receipt['lines'][number];

describe('buying for a round', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
  let who: Client;
  let path: string;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());
  afterEach(async () => {
    expect(await broken(api)).toEqual([]);
    const balances = await moneyBalances(api, cooperative.id);
    expect(Object.values(balances).reduce((sum, amount) => sum + amount, 0)).toBe(0);
    // What is bought is split at once, so nothing stays with the goods.
    expect(balances['stock'] ?? 0).toBe(0);
  });

  /** A cooperative of its own with a round that is being bought for. */
  async function buyingRound(): Promise<{ roundId: string; lists: Buying }> {
    cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    ({ coordinator: who, path } = cooperative);
    pantry = await stockPantry(cooperative);
    const { id: roundId } = await startRound(cooperative, pantry);
    await moveOn(cooperative, roundId, 'buying');
    return { roundId, lists: await read(roundId) };
  }
  const read = (roundId: string): Promise<Buying> => who.ok('GET', `${path}/rounds/${roundId}/buying`);
  const household = (name: string): string => cooperative.household(name).id;
  const fault = ({ status, body }: { status: number; body: Problem }) => [
    status,
    body.code,
    ...(body.errors ?? []).map(({ pointer }) => pointer),
  ];
  const listOf = ({ lists }: Buying, seller: string): Buying['lists'][number] => {
    const list = lists.find((each) => each.seller.name === seller);
    if (!list) throw new Error(`Nothing is bought at ${seller}`);
    return list;
  };
  const receiptOf = (seller: string, payer: string, lines: object[], more: object = {}): object => ({
    sellerId: pantry.sellers[seller]?.id,
    paidByHouseholdId: household(payer),
    boughtOn: '2026-11-26',
    lines,
    ...more,
  });
  const goods = ({ lines }: Buying['lists'][number]): object[] =>
    lines.map(({ id, label, packs, plannedMinor }) => ({ purchaseId: id, label, packs, amountMinor: plannedMinor }));
  const enter = (roundId: string, body: object, as = who) =>
    as.call<Receipt & Problem>('POST', `${path}/rounds/${roundId}/receipts`, body);
  const correct = (roundId: string, body: object) =>
    who.call<Receipt & Problem>('POST', `${path}/rounds/${roundId}/receipt-corrections`, body);
  const paidBy = ({ split }: Line): Record<string, number> =>
    Object.fromEntries(split.map((each) => [each.household.name, Number(each.amountMinor)]));
  const line = ({ lines }: Receipt, label: string): Line => {
    const found = lines.find((each) => each.label.startsWith(label));
    if (!found) throw new Error(`There is no line ${label}`);
    return found;
  };

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

  it('lists whole packs by seller, proposed first and written down when the round moves on', async () => {
    const { roundId, lists } = await buyingRound();
    const shown = (list: Buying['lists'][number]) =>
      list.lines.map((each) => [each.label, each.packs, each.plannedMinor, each.needed, each.neededUnit, each.surplus]);
    expect(shown(listOf(lists, 'Mill'))).toEqual([
      ['Mince, tray', 1, '2592', '3000', 'g', '200'],
      ['Oil, bottle', 1, '460', '440', 'mL', '60'],
      ['Tomatoes, 2.5 kg', 7, '2653', '17000', 'g', '500'],
    ]);
    expect(shown(listOf(lists, 'Cart'))).toEqual([
      ['Cream, pot', 2, '240', '500', 'mL', '0'],
      ['Lentils, 500 g', 3, '510', '1500', 'g', '0'],
      ['Onions, 2 kg', 1, '185', '1700', 'g', '300'],
    ]);
    expect([listOf(lists, 'Mill').plannedMinor, listOf(lists, 'Mill').feeMinor]).toEqual(['5955', '250']);
    expect([lists.plannedMinor, lists.spentMinor, lists.missing]).toEqual(['6890', '0', []]);
    const planned = await startRound(cooperative, pantry);
    const proposal = await read(planned.id);
    expect(proposal.lists.map(({ lines }) => lines.map(({ id }) => id))).toEqual([
      [null, null, null],
      [null, null, null],
    ]);
    expect(proposal.plannedMinor).toBe('6890');
    expect(roundId).not.toBe(planned.id);
  });

  it('ticks a line off once, by a buyer, from the version that was read', async () => {
    const { lists } = await buyingRound();
    const [mince] = listOf(lists, 'Mill').lines;
    const at = `${path}/purchases/${mince?.id}`;
    expect(
      (await cooperative.household('Birch').client.call('PATCH', at, { bought: true }, { ifMatch: 1 })).status,
    ).toBe(403);
    const ticked = await who.ok<z.infer<typeof purchase>>('PATCH', at, { bought: true }, { ifMatch: 1 });
    expect(ticked).toMatchObject({ bought: true, version: 2, needed: '3000', paidMinor: null });
    expect((await who.call('PATCH', at, { bought: false }, { ifMatch: 1 })).status).toBe(412);
    expect((await who.ok<z.infer<typeof purchase>>('PATCH', at, { bought: false }, { ifMatch: 2 })).bought).toBe(false);
  });

  it('splits a receipt at once among those who can eat what each line goes into', async () => {
    const { roundId, lists } = await buyingRound();
    const fee = { kind: 'fee', label: 'Delivery', amountMinor: '250' };
    const { status, body } = await enter(roundId, receiptOf('Mill', 'Birch', [...goods(listOf(lists, 'Mill')), fee]));
    expect([status, body.totalMinor, body.createdBy]).toEqual([201, '5955', 'Alder Adult']);
    // Mince goes into one dish, which Cedar does not eat.
    expect(paidBy(line(body, 'Mince'))).toEqual({ Alder: 1296, Birch: 1296 });
    expect(line(body, 'Mince').split.map(({ share, of }) => [share, of])).toEqual([
      ['2', '4'],
      ['2', '4'],
    ]);
    expect(line(body, 'Tomatoes').split.map(({ share, of }) => [share, of])).toEqual([
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
    const balances = await moneyBalances(api, cooperative.id);
    const carried = await carriedOf(api, cooperative.id);
    for (const [name, exact] of due) {
      const paid = -(balances[name] ?? 0) + (name === 'Birch' ? 5955 : 0);
      expect(rational.format(rational.sub(exact, rational.rational(BigInt(paid))))).toBe(carried[name]);
      expect(Math.abs(paid - Number(rational.toDecimal(exact, 6)))).toBeLessThan(1);
    }
    const after = await read(roundId);
    expect(after.spentMinor).toBe('5955');
    expect(
      listOf(after, 'Mill').lines.every(({ bought, paidMinor, plannedMinor }) => bought && paidMinor === plannedMinor),
    ).toBe(true);
    expect(listOf(after, 'Cart').lines.some(({ bought }) => bought)).toBe(false);
  });

  it('lets no household drift by a cent over many receipts', async () => {
    const { roundId } = await buyingRound();
    const lines: [number, ...string[]][] = [];
    for (let index = 1; index <= 12; index += 1) {
      const [cream, foil] = [100 + index * 7, 11 + index];
      await enter(
        roundId,
        receiptOf('Cart', 'Cedar', [
          { ingredientId: pantry.ingredients['Cream']?.id, label: 'Cream', amountMinor: `${cream}` },
          { label: 'Foil', amountMinor: `${foil}` },
        ]),
      );
      lines.push([cream, 'Alder', 'Cedar'], [foil, ...ALL]);
    }
    const total = lines.reduce((sum, [amount]) => sum + amount, 0);
    const balances = await moneyBalances(api, cooperative.id);
    for (const [name, exact] of exactOf(lines)) {
      const paid = -(balances[name] ?? 0) + (name === 'Cedar' ? total : 0);
      expect(Math.abs(paid - Number(rational.toDecimal(exact, 6)))).toBeLessThan(1);
    }
  });

  it('books the difference of a catch weight with the shares of its line, and leaves the line alone', async () => {
    const { roundId, lists } = await buyingRound();
    const { body: first } = await enter(roundId, receiptOf('Mill', 'Birch', goods(listOf(lists, 'Mill'))));
    const mince = line(first, 'Mince');
    const difference = { kind: 'adjustment', lineId: mince.id, on: '2026-11-27', reason: 'It weighed 3.41 kg' };
    const { status, body } = await correct(roundId, { ...difference, differenceMinor: '171', actualQuantity: '3.41' });
    expect([status, body.totalMinor, body.paidBy.name, body.note]).toEqual([201, '171', 'Birch', 'It weighed 3.41 kg']);
    expect(body.lines[0]).toMatchObject({ kind: 'adjustment', correctsLineId: mince.id, actualQuantity: '341/100' });
    const parts = Object.values(paidBy(body.lines[0] as Line)).sort();
    expect(parts).toEqual([85, 86]);
    const after = await read(roundId);
    expect(line(after.receipts.at(-1) as Receipt, 'Mince')).toEqual(mince);
    expect(after.spentMinor).toBe(`${2592 + 460 + 2653 + 171}`);
    expect(listOf(after, 'Mill').lines[0]?.paidMinor).toBe(`${2592 + 171}`);
    expect(fault(await correct(roundId, { ...difference, differenceMinor: '0' }))).toEqual([
      400,
      'invalid-input',
      '#/differenceMinor',
    ]);
    expect(fault(await correct(roundId, { ...difference, differenceMinor: '-2764' }))).toEqual([
      400,
      'invalid-input',
      '#/differenceMinor',
    ]);
    const again = { ...difference, lineId: body.lines[0]?.id, differenceMinor: '1' };
    expect(fault(await correct(roundId, again))).toEqual([400, 'invalid-input', '#/lineId']);
  });

  it('gives a line back whole, so that everybody stands where they stood before', async () => {
    const { roundId, lists } = await buyingRound();
    const cart = goods(listOf(lists, 'Cart'));
    await enter(roundId, receiptOf('Cart', 'Cedar', cart));
    const [balances, carried] = [await moneyBalances(api, cooperative.id), await carriedOf(api, cooperative.id)];
    const { body: second } = await enter(roundId, receiptOf('Cart', 'Birch', [{ label: 'Foil', amountMinor: '101' }]));
    const foil = second.lines[0] as Line;
    await correct(roundId, {
      kind: 'adjustment',
      lineId: foil.id,
      on: '2026-11-27',
      reason: 'Read wrongly',
      differenceMinor: '-6',
    });
    const refund = { kind: 'refund', lineId: foil.id, on: '2026-11-28', reason: 'Given back' };
    const { status, body } = await correct(roundId, refund);
    expect([status, body.totalMinor]).toEqual([201, '-95']);
    expect(await moneyBalances(api, cooperative.id)).toEqual(balances);
    expect(await carriedOf(api, cooperative.id)).toEqual(carried);
    expect((await read(roundId)).spentMinor).toBe('935');
    expect(fault(await correct(roundId, refund))).toEqual([409, 'conflict']);
    const more = { kind: 'adjustment', lineId: foil.id, on: '2026-11-28', reason: 'After that', differenceMinor: '5' };
    expect(fault(await correct(roundId, more))).toEqual([409, 'conflict']);
  });

  it('shares by the weights of the day on which it was bought', async () => {
    const { roundId } = await buyingRound();
    await who.ok('POST', `${path}/rounds/${roundId}/participants`, {
      householdId: household('Alder'),
      fromDate: '2026-11-26',
      weight: '0',
      reason: 'Moves away',
    });
    const tomatoes = [{ ingredientId: pantry.ingredients['Tomatoes']?.id, label: 'Tomatoes', amountMinor: '900' }];
    const before = await enter(roundId, receiptOf('Mill', 'Birch', tomatoes, { boughtOn: '2026-11-25' }));
    expect(paidBy(before.body.lines[0] as Line)).toEqual({ Alder: 277, Birch: 277, Cedar: 346 });
    const after = await enter(roundId, receiptOf('Mill', 'Birch', tomatoes));
    expect(paidBy(after.body.lines[0] as Line)).toEqual({ Birch: 400, Cedar: 500 });
  });

  it('takes a household that joined late in from its day on', async () => {
    const { roundId } = await buyingRound();
    const dover = await who.ok<{ id: string; version: number }>('POST', `${path}/households`, { name: 'Dover' });
    await who.ok('POST', `${path}/households/${dover.id}/diners`, { name: 'Dee', ageBand: 'adult' });
    const fee = [{ kind: 'fee', label: 'Delivery', amountMinor: '1500' }];
    const late = receiptOf('Mill', 'Birch', fee, { paidByHouseholdId: dover.id });
    expect(fault(await enter(roundId, late))).toEqual([422, 'participant-missing', '#/paidByHouseholdId']);
    const joined = { householdId: dover.id, fromDate: '2026-11-26', reason: 'Joined late' };
    await who.ok('POST', `${path}/rounds/${roundId}/participants`, joined);
    // 13/2 and one adult more: 15/2.
    const { body } = await enter(roundId, late);
    expect(paidBy(body.lines[0] as Line)).toEqual({ Alder: 400, Birch: 400, Cedar: 500, Dover: 200 });
    const earlier = await enter(
      roundId,
      receiptOf('Mill', 'Birch', [{ label: 'Foil', amountMinor: '1300' }], { boughtOn: '2026-11-25' }),
    );
    expect(paidBy(earlier.body.lines[0] as Line)).toEqual({ Alder: 400, Birch: 400, Cedar: 500 });
  });

  it('enters a receipt once however often it is sent', async () => {
    const { roundId, lists } = await buyingRound();
    const body = receiptOf('Cart', 'Cedar', goods(listOf(lists, 'Cart')));
    const send = (sent: object) =>
      who.call<Receipt & Problem>('POST', `${path}/rounds/${roundId}/receipts`, sent, { key: 'the-same-key-twice' });
    const first = await send(body);
    const second = await send(body);
    expect([first.status, second.status, second.text]).toEqual([201, 201, first.text]);
    expect((await read(roundId)).receipts).toHaveLength(1);
    expect((await send({ ...body, note: 'Other' })).body.code).toBe('idempotency-key-reused');
    const missing = await who.call<Problem>('POST', `${path}/rounds/${roundId}/receipts`, body, { key: null });
    expect(fault(missing)).toEqual([400, 'idempotency-key-missing']);
  });

  it('refuses what cannot be, at its place, and writes nothing of it', async () => {
    const { roundId, lists } = await buyingRound();
    const [mince] = listOf(lists, 'Mill').lines;
    const onions = pantry.ingredients['Onions']?.id;
    const refusals: [object[], object, (string | number)[]][] = [
      [
        [
          { purchaseId: roundId, label: 'x', amountMinor: '1' },
          { ingredientId: roundId, label: 'x', amountMinor: '1' },
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
      [[{ label: 'x', amountMinor: '5' }], { sellerId: roundId }, [400, 'invalid-input', '#/sellerId']],
    ];
    for (const [lines, more, expected] of refusals) {
      expect(fault(await enter(roundId, receiptOf('Mill', 'Birch', lines, more)))).toEqual(expected);
    }
    const { id: planned } = await startRound(cooperative, pantry);
    const early = await enter(planned, receiptOf('Mill', 'Birch', [{ label: 'x', amountMinor: '5' }]));
    expect(fault(early)).toEqual([409, 'round-stage']);
    expect(early.body.params).toMatchObject({ stage: 'planning' });
    const line = { kind: 'refund', lineId: roundId, on: '2026-11-27', reason: 'Wrong' };
    expect(fault(await correct(roundId, line))).toEqual([400, 'invalid-input', '#/lineId']);
    expect((await read(roundId)).receipts).toEqual([]);
    expect(await moneyBalances(api, cooperative.id)).toEqual({});
  });

  it('takes a receipt from a household about its own payment, not about another’s', async () => {
    const { roundId } = await buyingRound();
    const { client } = cooperative.household('Birch');
    const lines = [{ label: 'Foil', amountMinor: '65' }];
    expect((await enter(roundId, receiptOf('Cart', 'Cedar', lines), client)).status).toBe(403);
    expect((await enter(roundId, receiptOf('Cart', 'Birch', lines), client)).status).toBe(201);
    const other = await buildCooperative(api);
    const theirs = await other.coordinator.call('GET', `${other.path}/rounds/${roundId}/buying`);
    expect(theirs.status).toBe(404);
  });

  it('follows a price by another and refuses a pack that is none', async () => {
    await buyingRound();
    const pack = {
      sellerId: pantry.sellers['Mill']?.id,
      ingredientId: pantry.ingredients['Oil']?.id,
      packQuantity: '500',
      packUnit: 'mL',
    };
    await addOffer(who, path, { ...pack, priceMinor: '480', validFrom: '2026-12-10' });
    await addOffer(who, path, { ...pack, priceMinor: '470', validFrom: '2026-12-01' });
    const { items } = await who.ok<z.infer<typeof offers>>('GET', `${path}/offers?ingredientId=${pack.ingredientId}`);
    expect(items.map(({ priceMinor, validFrom, validTo }) => [priceMinor, validFrom, validTo])).toEqual([
      ['480', '2026-12-10', null],
      ['470', '2026-12-01', '2026-12-09'],
      ['460', '2026-11-01', '2026-11-30'],
    ]);
    const refuse = async (more: object) =>
      fault(
        await who.call<Problem>('POST', `${path}/offers`, {
          ...pack,
          label: 'x',
          priceMinor: '1',
          validFrom: '2026-12-01',
          ...more,
        }),
      );
    expect(await refuse({ packQuantity: '0' })).toEqual([400, 'invalid-input', '#/packQuantity']);
    expect(await refuse({ packUnit: 'each' })).toEqual([422, 'units-incompatible', '#/packUnit']);
    expect(await refuse({ packUnit: 'bucketful' })).toEqual([422, 'unknown-unit', '#/packUnit']);
    // Oil has a density, so a pack of it may be weighed.
    expect((await addOffer(who, path, { ...pack, packUnit: 'g', priceMinor: '400' })).packUnit).toBe('g');
    expect(await refuse({ ingredientId: pantry.ingredients['Onions']?.id })).toEqual([
      422,
      'density-missing',
      '#/packUnit',
    ]);
  });
});
