import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { offers, Problem, purchase } from '@frostmoot/contract';
import type { z } from 'zod';
import { BuyingRound, listOf, type Buying } from '../builders/buying-round.ts';
import { addOffer, NOW, startRound } from '../builders/pantry.ts';
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
