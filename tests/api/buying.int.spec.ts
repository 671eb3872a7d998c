import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { offers, Problem, purchase, seller } from '@frostmoot/contract';
import type { z } from 'zod';
import { BuyingRound, listOf, type Buying } from '../builders/buying-round.ts';
import { buildCooperative } from '../builders/cooperative.ts';
import { addOffer, HOUSEHOLDS, moveOn, NOW, startRound, stockPantry } from '../builders/pantry.ts';
import type { RoundAnswer } from '../builders/pantry.ts';
import { fault } from './fault.ts';
import { startApi, type Api } from './harness.ts';

describe('what to buy for a round', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());
  const begin = (): Promise<BuyingRound> => BuyingRound.build(api);

  it('lists whole packs by seller, proposed first and written down when the round moves on', async () => {
    const round = await begin();
    const shown = (list: Buying['lists'][number]) =>
      list.lines.map((each) => [each.label, each.packs, each.plannedMinor, each.needed, each.neededUnit, each.surplus]);
    expect(shown(listOf(round.lists, 'Mill'))).toEqual([
      ['Mince, tray', 1, '2592', '3000', 'g', '200'],
      ['Oil, bottle', 1, '460', '440', 'mL', '60'],
      ['Tomatoes, 2.5 kg', 7, '2653', '17000', 'g', '500'],
    ]);
    expect(shown(listOf(round.lists, 'Cart'))).toEqual([
      ['Cream, pot', 2, '240', '500', 'mL', '0'],
      ['Lentils, 500 g', 3, '510', '1500', 'g', '0'],
      ['Onions, 2 kg', 1, '185', '1700', 'g', '300'],
    ]);
    expect([listOf(round.lists, 'Mill').plannedMinor, listOf(round.lists, 'Mill').feeMinor]).toEqual(['5955', '250']);
    expect([round.lists.plannedMinor, round.lists.spentMinor, round.lists.missing]).toEqual(['6890', '0', []]);
    const planned = await startRound(round.cooperative, round.pantry);
    const proposal = await round.who.ok<Buying>('GET', `${round.cooperative.path}/rounds/${planned.id}/buying`);
    expect(proposal.lists.map(({ lines }) => lines.map(({ id }) => id))).toEqual([
      [null, null, null],
      [null, null, null],
    ]);
    expect(proposal.plannedMinor).toBe('6890');
    expect(round.roundId).not.toBe(planned.id);
  });

  it('ticks a line off once, by a buyer, from the version that was read', async () => {
    const round = await begin();
    const [mince] = listOf(round.lists, 'Mill').lines;
    const at = `${round.cooperative.path}/purchases/${mince?.id}`;
    expect(
      (await round.cooperative.household('Birch').client.call('PATCH', at, { bought: true }, { ifMatch: 1 })).status,
    ).toBe(403);
    const ticked = await round.who.ok<z.infer<typeof purchase>>('PATCH', at, { bought: true }, { ifMatch: 1 });
    expect(ticked).toMatchObject({ bought: true, version: 2, needed: '3000', paidMinor: null });
    expect((await round.who.call('PATCH', at, { bought: false }, { ifMatch: 1 })).status).toBe(412);
    expect((await round.who.ok<z.infer<typeof purchase>>('PATCH', at, { bought: false }, { ifMatch: 2 })).bought).toBe(
      false,
    );
  });

  it('follows a price by another and refuses a pack that is none', async () => {
    const round = await begin();
    const pack = {
      sellerId: round.pantry.sellers['Mill']?.id,
      ingredientId: round.pantry.ingredients['Oil']?.id,
      packQuantity: '500',
      packUnit: 'mL',
    };
    await addOffer(round.who, round.cooperative.path, { ...pack, priceMinor: '480', validFrom: '2026-12-10' });
    await addOffer(round.who, round.cooperative.path, { ...pack, priceMinor: '470', validFrom: '2026-12-01' });
    const { items } = await round.who.ok<z.infer<typeof offers>>(
      'GET',
      `${round.cooperative.path}/offers?ingredientId=${pack.ingredientId}`,
    );
    expect(items.map(({ priceMinor, validFrom, validTo }) => [priceMinor, validFrom, validTo])).toEqual([
      ['480', '2026-12-10', null],
      ['470', '2026-12-01', '2026-12-09'],
      ['460', '2026-11-01', '2026-11-30'],
    ]);
    const refuse = async (more: object) =>
      fault(
        await round.who.call<Problem>('POST', `${round.cooperative.path}/offers`, {
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
    expect(
      (await addOffer(round.who, round.cooperative.path, { ...pack, packUnit: 'g', priceMinor: '400' })).packUnit,
    ).toBe('g');
    expect(await refuse({ ingredientId: round.pantry.ingredients['Onions']?.id })).toEqual([
      422,
      'density-missing',
      '#/packUnit',
    ]);
  });
});

describe('what to buy from several sellers', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
  });
  afterAll(() => api.stop());
  type Seller = z.infer<typeof seller>;

  it('is planned over all of them at once, with thresholds, and says why', async () => {
    const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const planned = await startRound(cooperative, pantry);
    const read = () => who.ok<Buying>('GET', `${path}/rounds/${planned.id}/buying`);
    const before = await read();
    expect(before.plannedMinor).toBe('6890');
    expect(before.why).toMatchObject({ proof: 'optimal', next: null });
    expect(before.why?.only.map((each) => [each.seller.name, each.ingredients.map(({ name }) => name).sort()])).toEqual(
      expect.arrayContaining([
        ['Mill', ['Mince', 'Oil', 'Tomatoes']],
        ['Cart', ['Cream', 'Lentils']],
      ]),
    );
    // Mill waives its 250 from 5800 on. By the cheapest packs its goods are 5705; onions from there cost 2 x 95 instead of 185 at Cart and make them 5895.
    const mill = await who.ok<Seller>(
      'PATCH',
      `${path}/sellers/${pantry.sellers['Mill']?.id}`,
      { freeFromMinor: '5800' },
      { ifMatch: 1 },
    );
    expect(mill).toMatchObject({ name: 'Mill', feeMinor: '250', freeFromMinor: '5800', minimumMinor: '0', version: 2 });
    const after = await read();
    expect(listOf(after, 'Mill')).toMatchObject({
      goodsMinor: '5895',
      feeMinor: '0',
      asksMinor: '250',
      freeFromMinor: '5800',
    });
    expect(after.plannedMinor).toBe(`${6890 - 250 - 185 + 190}`);
    const round = await who.ok<RoundAnswer>('GET', `${path}/rounds/${planned.id}`);
    expect(round.costMinor).toBe(after.plannedMinor);

    // Once it is bought, what a seller asks later changes nothing.
    await moveOn(cooperative, planned.id, 'buying');
    const kept = await read();
    expect([kept.plannedMinor, kept.why]).toEqual([after.plannedMinor, after.why]);
    await who.ok('PATCH', `${path}/sellers/${mill.id}`, { feeMinor: '900', freeFromMinor: null }, { ifMatch: 2 });
    expect(await read()).toEqual(kept);
    expect((await who.call('PATCH', `${path}/sellers/${mill.id}`, { feeMinor: '1' }, { ifMatch: 2 })).status).toBe(412);
    expect(
      (
        await cooperative
          .household('Birch')
          .client.call('PATCH', `${path}/sellers/${mill.id}`, { feeMinor: '1' }, { ifMatch: 3 })
      ).status,
    ).toBe(403);
  });

  it('buys no more packs than an offer is for', async () => {
    const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const { coordinator: who, path } = cooperative;
    const pantry = await stockPantry(cooperative);
    const ids = { sellerId: pantry.sellers['Cart']?.id, ingredientId: pantry.ingredients['Tomatoes']?.id };
    const pack = {
      ...ids,
      label: 'Tomatoes, left over',
      packQuantity: '2',
      packUnit: 'kg',
      priceMinor: '100',
      validFrom: '2026-11-01',
    };
    const refused = await who.call<Problem>('POST', `${path}/offers`, { ...pack, minPacks: 3, maxPacks: 2 });
    expect(fault(refused)).toEqual([400, 'invalid-input', '#/maxPacks']);
    await addOffer(who, path, { ...pack, maxPacks: 3 });
    const planned = await startRound(cooperative, pantry);
    const lists = await who.ok<Buying>('GET', `${path}/rounds/${planned.id}/buying`);
    // 17 kg are needed: 5 packs of 2.5 kg at Mill and the three at Cart make 18.5.
    const [cart, mill] = ['Cart', 'Mill'].map((name) =>
      listOf(lists, name)
        .lines.filter(({ label }) => label.startsWith('Tomatoes'))
        .map(({ label, packs, needed, surplus }) => [label, packs, needed, surplus]),
    );
    expect([cart, mill]).toEqual([
      [['Tomatoes, left over', 3, '4500', '1500']],
      [['Tomatoes, 2.5 kg', 5, '12500', '0']],
    ]);
  });
});
