import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { recipe, shareOut } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Answer, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { addIngredient, addRecipe, quality } from '../builders/pantry.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { buildSharingRound, type BuiltRound } from '../builders/sharing-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { brokenInvariants } from '../database/test-database.ts';

// Stock cubes go into a stock, the stock into a base, the base into a stew; that the cubes contain celery comes out when the stew is in the freezers,
// and somebody of Birch must not eat celery. Celery: Regulation (EU) No 1169/2011, Annex II, 9.

type View = z.infer<typeof shareOut>;
type Recipe = z.infer<typeof recipe>;
type Told = Answer<{ code?: string; params?: Record<string, unknown>; id?: string; version?: number }>;

const NOW = new Date('2026-11-23T10:00:00Z');
const names = ['Alder', 'Birch', 'Cedar'];
const participants = names.map((household) => ({ household, weight: '2' }));
const dishes = [
  { name: 'Stew', containers: [4, 4, 4] },
  { name: 'Pie', containers: [4, 4, 4] },
];

let api: Api;
let cooperative: BuiltCooperative;
let cubes: { id: string; version: number };
let recipes: Record<string, Recipe>;
beforeAll(async () => {
  api = await startApi({ now: NOW });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api, {
    households: names.map((name) => ({ name, diners: [{ hard: name === 'Birch' ? ['celery'] : [] }, {}] })),
  });
  const { coordinator: who, path } = cooperative;
  cubes = await addIngredient(who, path, { name: 'Stock cubes', baseUnit: 'g' });
  const version = (name: string, line: object) =>
    addRecipe(who, path, {
      ...{ name, ...quality, makes: { quantity: '1', unit: 'kg' } },
      lines: [{ ...line, quantity: '10', unit: 'g' }],
    });
  const stock = await version('Stock', { ingredientId: cubes.id });
  const base = await version('Base', { componentVersionId: stock.current.id });
  recipes = { stock, base, stew: await version('Stew', { componentVersionId: base.current.id }) };
});

const declare = (allergens: string[], from = cubes.version) =>
  cooperative.coordinator.ok<{ version: number }>(
    'PATCH',
    `${cooperative.path}/ingredients/${cubes.id}`,
    { name: 'Stock cubes', baseUnit: 'g', allergens },
    { ifMatch: from },
  );
const act = (name: string, at: string, body: object = {}, options = {}): Promise<Told> => {
  const { client, id } = cooperative.household(name);
  return client.call('POST', `${cooperative.path}/${at}`, { householdId: id, ...body }, options);
};
const claim = (name: string, box: string | undefined, body: object = {}) => act(name, `containers/${box}/claim`, body);
const release = (name: string, box: string | undefined) => act(name, `containers/${box}/release`);
const view = (round: BuiltRound) =>
  cooperative.coordinator.ok<View>('GET', `${cooperative.path}/rounds/${round.id}/share-out`);
const propose = (round: BuiltRound) =>
  cooperative.coordinator.ok<View>('POST', `${cooperative.path}/rounds/${round.id}/share-out`);
const confirm = ({ shareOutId, version }: View) =>
  cooperative.coordinator.call<View & { code?: string }>(
    'POST',
    `${cooperative.path}/share-outs/${shareOutId}/confirm`,
    undefined,
    { ifMatch: version ?? 0 },
  );
const gets = ({ parts }: View, name: string) =>
  parts.find(({ household }) => household.name === name)?.containers.map(({ dish }) => dish);
const boxes = (round: BuiltRound, dish: string) => round.containers.filter((box) => box.dish === dish);
/** A stew of which this household is the holder; it is brought there when the share-out gave it none. */
async function stewWith(round: SharedRound, name: string): Promise<string> {
  const own = round.of(name).find(({ dish }) => dish === 'Stew');
  if (own) return own.id;
  const other = names.find((each) => round.of(each).some(({ dish }) => dish === 'Stew')) ?? '';
  const box = round.of(other).find(({ dish }) => dish === 'Stew')?.id ?? '';
  expect((await release(other, box)).status).toBe(200);
  expect((await claim(name, box)).status).toBe(200);
  return box;
}
const pieOf = (round: SharedRound, name: string) => round.of(name).find(({ dish }) => dish === 'Pie')?.id;
const nothingBroken = async () => expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);

describe('an allergen that is declared later', () => {
  it('comes to every version with the ingredient inside, and the page says since when', async () => {
    await declare(['celery']);
    for (const { id } of Object.values(recipes)) {
      const { current } = await cooperative.coordinator.ok<Recipe>('GET', `${cooperative.path}/recipes/${id}`);
      expect(current).toMatchObject({ allergens: ['celery'], unfitFor: ['celery'] });
      expect(current.declaredLater).toMatchObject([
        { ingredient: 'Stock cubes', allergens: ['celery'], unfitFor: ['celery'] },
      ]);
      expect(Date.parse(current.declaredLater[0]?.since ?? '')).toBeGreaterThanOrEqual(Date.parse(current.createdAt));
    }
    // Taken back it stays, since the food was cooked with it; said again it is nothing new.
    const without = await declare([], cubes.version + 1);
    await declare(['celery'], without.version);
    const { current } = await cooperative.coordinator.ok<Recipe>(
      'GET',
      `${cooperative.path}/recipes/${recipes['stew']?.id}`,
    );
    expect([current.allergens, current.declaredLater.length]).toEqual([['celery'], 1]);
    await nothingBroken();
  });

  it.each([
    [`UPDATE recipe_version SET allergens = '{}'`, /only grows/],
    [`UPDATE recipe_version SET unfit_for = '{milk}'`, /only grows/],
    [`UPDATE recipe_version SET notes = 'another'`, /only grows/],
    [`DELETE FROM recipe_version`, /append-only/],
    [`UPDATE declared_later SET created_at = now()`, /append-only/],
    [`DELETE FROM declared_later`, /append-only/],
  ])('is kept by the database against %s', async (statement, words) => {
    await declare(['celery']);
    await expect(withClient(api.database.ownerUrl, (client) => client.query(statement))).rejects.toThrow(words);
  });

  it('makes a proposed share-out stale; worked out again, it gives nobody what they must not eat', async () => {
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const before = await propose(round);
    await declare(['celery']);
    expect(await confirm(before)).toMatchObject({ status: 409, body: { code: 'conflict' } });
    const { body: shared } = await confirm(await propose(round));
    expect(gets(shared, 'Birch')).not.toContain('Stew');
    expect(gets(shared, 'Birch')?.length).toBeGreaterThan(0);
    await nothingBroken();
  });

  it('frees what was claimed before the share-out, and lets nobody claim it so again', async () => {
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`UPDATE cooperative SET claim_policy = 'before' WHERE id = $1`, [cooperative.id]),
    );
    const round = await buildSharingRound(api, cooperative, { dishes, participants });
    const [first, second] = boxes(round, 'Stew').map(({ id }) => id);
    expect((await claim('Birch', first)).status).toBe(200);
    await declare(['celery']);
    expect((await claim('Birch', second, { confirmWords: 'For guests' })).body).toMatchObject({
      code: 'excluded-food',
      params: { final: 1 },
    });
    const { body: shared } = await confirm(await propose(round));
    expect(gets(shared, 'Birch')).not.toContain('Stew');
    expect(shared.earlyClaims).toEqual([]);
    await nothingBroken();
  });

  it('refuses a claim, of one container and of any of the dish, until an adult confirms it', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const box = await stewWith(round, 'Cedar');
    await release('Cedar', box);
    await declare(['celery']);
    const any = await act('Birch', `rounds/${round.id}/dish-claims`, { recipeId: recipes['stew']?.id });
    expect(any.body.code).toBe('excluded-food');
    expect((await claim('Birch', box)).body).toMatchObject({ code: 'excluded-food', params: { subjects: 'celery' } });
    expect((await claim('Birch', box, { confirmWords: 'For guests' })).status).toBe(200);
    await nothingBroken();
  });

  it('asks before what was set aside is taken or handed over', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const own = round.of('Birch').find(({ dish }) => dish === 'Stew');
    expect(own).toBeDefined();
    await declare(['celery']);
    await cooperative.coordinator.ok('POST', `${cooperative.path}/rounds/${round.id}/collection`, {
      ...{ place: 'The porch of Alder', collectBy: '2026-12-01T20:00:00.000Z', slots: [] },
    });
    const handOver = () =>
      act('Birch', `containers/${own?.id}/hand-over`, { toHouseholdId: cooperative.household('Birch').id });
    expect(await handOver()).toMatchObject({ status: 409, body: { code: 'conflict' } });
    expect((await claim('Birch', own?.id)).body.code).toBe('excluded-food');
    await nothingBroken();
    expect((await claim('Birch', own?.id, { confirmWords: 'For guests' })).status).toBe(200);
    expect((await handOver()).status).toBe(200);
    await nothingBroken();
  });

  it('keeps nothing of it for who waits', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const [first, second] = [await stewWith(round, 'Cedar'), await stewWith(round, 'Alder')];
    const waits = async () =>
      (await view(round)).waiting.map(({ household, state }) => [household.name, state]).slice(0, 1);
    expect((await act('Birch', 'waiting', { recipeId: recipes['stew']?.id })).status).toBe(201);
    await release('Cedar', first);
    expect(await waits()).toEqual([['Birch', 'kept']]);
    await declare(['celery']);
    expect(await waits()).toEqual([['Birch', 'waiting']]);
    await release('Alder', second);
    expect(await waits()).toEqual([['Birch', 'waiting']]);
    await nothingBroken();
  });

  it('refuses a swap that would bring it, to who proposes and to who accepts', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const stew = await stewWith(round, 'Cedar');
    const [birch, cedar] = ['Birch', 'Cedar'].map((name) => cooperative.household(name).id);
    const birches = pieOf(round, 'Birch');
    expect(birches).toBeDefined();
    const [toBirch, byBirch] = [
      { fromHouseholdId: cedar, toHouseholdId: birch, giveContainerIds: [stew], getContainerIds: [birches] },
      { fromHouseholdId: birch, toHouseholdId: cedar, giveContainerIds: [birches], getContainerIds: [stew] },
    ];
    const open = await act('Cedar', 'swaps', toBirch);
    expect(open.status).toBe(201);
    await declare(['celery']);
    expect((await act('Birch', 'swaps', byBirch)).body.code).toBe('excluded-food');
    const accept = (words: string | null) =>
      act('Birch', `swaps/${open.body.id}/answer`, { answer: 'accept', confirmWords: words }, { ifMatch: 1 });
    expect((await accept(null)).body).toMatchObject({ code: 'excluded-food', params: { subjects: 'celery' } });
    await nothingBroken();
    expect((await accept('For guests')).status).toBe(200);
    await nothingBroken();
  });

  it('refuses a wish for it, and the yes to a ring that was proposed before', async () => {
    const round = await buildSharedRound(api, cooperative, { dishes, participants });
    const swappers = new Swappers(api, cooperative);
    const stew = await stewWith(round, 'Cedar');
    const pie = pieOf(round, 'Birch') ?? '';
    await swappers.offer('Cedar', stew);
    await swappers.offer('Birch', pie);
    expect((await swappers.wish('Birch', recipes['stew']?.id ?? '')).status).toBe(201);
    expect((await swappers.wish('Cedar', boxes(round, 'Pie')[0]?.recipeId ?? '')).status).toBe(201);
    const [ring] = await swappers.search();
    expect(ring).toBeDefined();
    await declare(['celery']);
    expect((await swappers.answer('Birch', ring ?? '')).body).toMatchObject({
      code: 'excluded-food',
      params: { subjects: 'celery' },
    });
    expect((await swappers.wish('Birch', recipes['stew']?.id ?? '')).body.code).toBe('excluded-food');
    await nothingBroken();
  });
});
