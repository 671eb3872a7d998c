import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { brokenInvariants } from '../database/test-database.ts';

describe('an allergen that is declared when the food is in the freezers', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi({ now: new Date('2026-11-22T10:00:00Z') });
    cooperative = await buildCooperative(api, {
      households: [{ name: 'Alder' }, { name: 'Birch', diners: [{ hard: ['celery'] }, {}] }, { name: 'Cedar' }],
    });
  });
  afterAll(() => api.stop());

  it('is told to who holds it and must not eat it, and to nobody else, without its name', async () => {
    const { coordinator, path } = cooperative;
    await buildSharedRound(api, cooperative, {
      number: 1,
      dishes: [{ name: 'Stew', containers: [4, 4, 4] }],
      participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' })),
    });
    const stock = { name: 'Stock cubes', baseUnit: 'g' };
    const ingredient = await coordinator.ok<{ id: string; version: number }>('POST', `${path}/ingredients`, stock);
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `INSERT INTO recipe_line (cooperative_id, id, recipe_version_id, position, ingredient_id, quantity, unit)
         SELECT cooperative_id, gen_random_uuid(), recipe_version_id, 90, $2, '10', 'g' FROM batch WHERE cooperative_id = $1`,
        [cooperative.id, ingredient.id],
      ),
    );
    const declare = (allergens: string[], version: number) =>
      coordinator.ok<{ version: number }>(
        'PATCH',
        `${path}/ingredients/${ingredient.id}`,
        { ...stock, allergens },
        { ifMatch: version },
      );
    const told = async (name: string) =>
      (
        await cooperative
          .household(name)
          .client.ok<{ items: { kind: string; facts: object }[] }>('GET', `${path}/notices`)
      ).items;

    const { version } = await declare(['milk'], ingredient.version);
    expect(await told('Birch')).toEqual([]);
    const after = await declare(['celery', 'milk'], version);
    const [notice] = await told('Birch');
    expect(notice).toMatchObject({ kind: 'allergen-declared', facts: { dish: 'Stew', n: 1 } });
    expect(JSON.stringify(notice)).not.toContain('celery');
    expect([await told('Alder'), await told('Cedar')]).toEqual([[], []]);
    // Said again, it is nothing new.
    await declare(['celery', 'milk'], after.version);
    expect(await told('Birch')).toHaveLength(1);
    expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
  });
});
