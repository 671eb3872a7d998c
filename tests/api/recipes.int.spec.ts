import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { Problem, recipe, recipeList, scaledRecipe } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { addIngredient, addRecipe, quality, stockPantry, type Pantry } from '../builders/pantry.ts';
import { startApi, type Api, type Client } from './harness.ts';

type Recipe = z.infer<typeof recipe>;

describe('recipes', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let pantry: Pantry;
  let who: Client;
  let path: string;
  beforeAll(async () => {
    api = await startApi();
    cooperative = await buildCooperative(api);
    ({ coordinator: who, path } = cooperative);
    pantry = await stockPantry(cooperative);
  });
  afterAll(() => api.stop());

  const id = (name: string): string => pantry.ingredients[name]?.id ?? '';
  const plain = (more: object = {}) => ({
    ...quality,
    makes: { quantity: '1', unit: 'kg' },
    lines: [{ ingredientId: id('Onions'), quantity: '1', unit: 'kg' }],
    ...more,
  });
  const refused = async (body: unknown, at = '/recipes'): Promise<{ status: number; code: string; at: string[] }> => {
    const answer = await who.call<Problem>('POST', `${path}${at}`, body);
    return {
      status: answer.status,
      code: answer.body.code,
      at: (answer.body.errors ?? []).map(({ pointer }) => pointer),
    };
  };

  it('derives allergens, whom a dish does not suit and what declares nothing from everything in it', () => {
    const { current } = pantry.recipes['Lentil cream'] as Recipe;
    expect(current.allergens).toEqual(['milk']);
    expect(current.unfitFor).toEqual(['milk', 'vegan']);
    expect(current.notDeclared).toEqual(['Lentils', 'Oil', 'Onions']);
    const pot = pantry.recipes['Mince pot'] as Recipe;
    expect(pot.current.allergens).toEqual([]);
    expect(pot.current.unfitFor).toEqual(['no_beef', 'no_meat', 'no_meat_or_fish', 'vegan']);
    expect(pot.current.lines[0]?.component).toEqual({
      versionId: pantry.recipes['Red base']?.current.id,
      recipeId: pantry.recipes['Red base']?.id,
      name: 'Red base',
    });
  });

  it('brings the group of an allergen along', async () => {
    const flour = await addIngredient(who, path, { name: 'Flour', baseUnit: 'g', allergens: ['wheat'] });
    const made = await addRecipe(who, path, {
      name: 'Flat bread',
      ...plain({ lines: [{ ingredientId: flour.id, quantity: '1', unit: 'kg' }] }),
    });
    expect(made.current.allergens).toEqual(['gluten', 'wheat']);
  });

  it('refuses allergens and tags that nobody could judge, each at its place', async () => {
    const typed = {
      name: 'Curd',
      baseUnit: 'g',
      allergens: ['milk', 'lait'],
      freeOf: ['milk', 'oeuf'],
      tags: ['meet'],
    };
    expect(await refused(typed, '/ingredients')).toEqual({
      status: 400,
      code: 'invalid-input',
      at: ['#/allergens/1', '#/freeOf/1', '#/tags/0', '#/freeOf/0'],
    });
    expect((await refused({ name: 'Syrup', baseUnit: 'mL', density: '1.3' }, '/ingredients')).at).toEqual([
      '#/densitySource',
    ]);
    expect(await refused({ name: 'Onions', baseUnit: 'g' }, '/ingredients')).toMatchObject({
      status: 409,
      code: 'conflict',
    });
  });

  it('changes an ingredient only from the version that was read, and never the unit that recipes count on', async () => {
    const made = await addIngredient(who, path, { name: 'Celeriac', baseUnit: 'g' });
    const at = `${path}/ingredients/${made.id}`;
    const typed = { name: 'Celeriac', baseUnit: 'g', allergens: ['celery'] };
    expect((await who.call('PATCH', at, typed)).status).toBe(428);
    const changed = await who.ok('PATCH', at, typed, { ifMatch: 1 });
    expect(changed).toMatchObject({ allergens: ['celery'], version: 2 });
    expect((await who.call('PATCH', at, typed, { ifMatch: 1 })).status).toBe(412);
    const onions = { name: 'Onions', baseUnit: 'each' };
    const answer = await who.call<Problem>('PATCH', `${path}/ingredients/${id('Onions')}`, onions, { ifMatch: 1 });
    expect([answer.status, answer.body.errors?.[0]?.pointer]).toEqual([409, '#/baseUnit']);
    expect(
      (await who.call('PATCH', `${path}/ingredients/${made.id}`, { ...typed, baseUnit: 'each' }, { ifMatch: 2 }))
        .status,
    ).toBe(200);
  });

  it.each([
    ['an unknown unit', { quantity: '1', unit: 'bucketful' }, 422, 'unknown-unit', '#/lines/0/unit'],
    ['a unit of another kind', { quantity: '1', unit: 'each' }, 422, 'units-incompatible', '#/lines/0/unit'],
    ['a volume without a density', { quantity: '1', unit: 'L' }, 422, 'density-missing', '#/lines/0/unit'],
    [
      'a yield above one',
      { quantity: '1', unit: 'kg', edibleYield: '1.2' },
      400,
      'invalid-input',
      '#/lines/0/edibleYield',
    ],
    [
      'more digits than are kept',
      { quantity: '0.1234567890123456789012345678', unit: 'lb' },
      400,
      'invalid-input',
      '#/lines/0/quantity',
    ],
  ])('refuses %s', async (_, line, status, code, pointer) => {
    const body = plain({ name: 'Wrong', lines: [{ ingredientId: id('Onions'), ...line }] });
    expect(await refused(body)).toEqual({ status, code, at: [pointer] });
  });

  it('refuses containers that do not hold the portions, and parts that are not there', async () => {
    const twelve = { portions: 12, containerPlan: [{ portions: 4, count: 2 }] };
    expect((await refused(plain({ name: 'Wrong', ...twelve }))).at).toEqual(['#/containerPlan']);
    expect((await refused(plain({ name: 'Wrong', containerPlan: [{ portions: 4, count: 2 }] }))).at).toEqual([
      '#/containerPlan',
    ]);
    const nobody = '00000000-0000-4000-8000-000000000000';
    const lines = [
      { ingredientId: nobody, quantity: '1', unit: 'kg' },
      { componentVersionId: nobody, quantity: '1', unit: 'kg' },
    ];
    expect((await refused(plain({ name: 'Wrong', lines }))).at).toEqual([
      '#/lines/0/ingredientId',
      '#/lines/1/componentVersionId',
    ]);
    const both = [{ ingredientId: id('Onions'), componentVersionId: nobody, quantity: '1', unit: 'kg' }];
    expect((await refused(plain({ name: 'Wrong', lines: both }))).at).toEqual(['#/lines/0/ingredientId']);
    expect(await refused(plain({ name: 'Wrong', makes: { quantity: '0', unit: 'kg' } }))).toMatchObject({
      at: ['#/makes/quantity'],
    });
  });

  it('keeps earlier versions as they were', async () => {
    const made = await addRecipe(who, path, { name: 'Onion jam', ...plain() });
    const at = `${path}/recipes/${made.id}`;
    const next = plain({ lines: [{ ingredientId: id('Cream'), quantity: '1/3', unit: 'L' }] });
    const saved = await who.ok<Recipe>('POST', `${at}/versions`, next, { ifMatch: made.version });
    expect(saved.versions.map(({ number }) => number)).toEqual([1, 2]);
    expect(saved.current).toMatchObject({ number: 2, allergens: ['milk'], lines: [{ quantity: '1/3', unit: 'L' }] });
    expect((await who.ok<Recipe>('GET', `${at}?version=1`)).current).toEqual(made.current);
    expect((await who.call('POST', `${at}/versions`, next, { ifMatch: made.version })).status).toBe(412);
    expect((await who.call('GET', `${at}?version=3`)).status).toBe(404);
  });

  it('refuses a recipe that would contain an earlier self, and one that stands too deep', async () => {
    const jam = await addRecipe(who, path, { name: 'Jam', ...plain() });
    const inside = (versionId: string) =>
      plain({ lines: [{ componentVersionId: versionId, quantity: '1', unit: 'g' }] });
    const tart = await addRecipe(who, path, { name: 'Tart', ...inside(jam.current.id) });
    const answer = await who.call<Problem>('POST', `${path}/recipes/${jam.id}/versions`, inside(tart.current.id), {
      ifMatch: jam.version,
    });
    expect([answer.status, answer.body.code, answer.body.errors?.[0]?.pointer]).toEqual([
      422,
      'recipe-cycle',
      '#/lines',
    ]);
    expect(answer.body.params?.['cycle']).toBe('Jam > Tart > Jam');
    let top = tart.current.id;
    for (let depth = 3; depth <= 8; depth += 1) {
      top = (await addRecipe(who, path, { name: `Layer ${depth}`, ...inside(top) })).current.id;
    }
    expect(await refused({ name: 'Layer 9', ...inside(top) })).toEqual({
      status: 422,
      code: 'too-deep',
      at: ['#/lines'],
    });
  });

  it('scales to other portions exactly and in kitchen measures', async () => {
    const pot = pantry.recipes['Mince pot'] as Recipe;
    const scaled = await who.ok<z.infer<typeof scaledRecipe>>('GET', `${path}/recipes/${pot.id}/scaled?portions=20`);
    expect(scaled.factor).toBe('5/4');
    // 4 L, 3 kg and 90 g for 16 portions, times 20/16.
    expect(scaled.lines.map(({ name, exact, unit }) => [name, exact, unit])).toEqual([
      ['Red base', '5', 'L'],
      ['Mince', '15/4', 'kg'],
      ['Oil', '225/2', 'g'],
    ]);
    expect(scaled.lines.map(({ say }) => say)).toEqual(['5 L', '3.75 kg', '113 g']);
    for (const portions of ['0', '0.0', '0/5', '-1', 'many', '']) {
      const answer = await who.call<Problem>('GET', `${path}/recipes/${pot.id}/scaled?portions=${portions}`);
      expect([answer.status, answer.body.errors?.[0]?.pointer]).toEqual([400, '#/portions']);
    }
  });

  it('means the same by a cup after the cooperative has changed its measures', async () => {
    const oil = [{ ingredientId: id('Oil'), quantity: '2', unit: 'us-cup' }];
    const made = await addRecipe(who, path, { name: 'Dressing', ...plain({ lines: oil }) });
    expect(made.current.lines[0]).toMatchObject({ quantity: '2', unit: 'us-cup' });
    const metric = [{ ingredientId: id('Oil'), quantity: '2', unit: 'cup' }];
    const other = await addRecipe(who, path, { name: 'Second dressing', ...plain({ lines: metric }) });
    expect(other.current.lines[0]).toMatchObject({ quantity: '2', unit: 'cup' });
    const { version } = await who.ok<{ version: number }>('GET', path);
    await who.ok('PATCH', path, { unitSystem: 'us' }, { ifMatch: version });
    const after = async (recipeId: string) =>
      (await who.ok<Recipe>('GET', `${path}/recipes/${recipeId}`)).current.lines[0];
    expect(await after(made.id)).toMatchObject({ quantity: '2', unit: 'cup' });
    expect(await after(other.id)).toMatchObject({ quantity: '2', unit: 'metric-cup' });
    await who.ok('PATCH', path, { unitSystem: 'metric' }, { ifMatch: version + 1 });
  });

  it('finds recipes by name or by what is in them', async () => {
    const found = async (search: string) =>
      (await who.ok<z.infer<typeof recipeList>>('GET', `${path}/recipes?search=${search}`)).items.map(
        ({ name }) => name,
      );
    expect(await found('LENTIL')).toEqual(['Lentil cream']);
    expect(await found('mince')).toEqual(['Mince pot']);
    expect(await found('red%20base')).toEqual(['Lentil cream', 'Mince pot', 'Red base']);
    const { items } = await who.ok<z.infer<typeof recipeList>>('GET', `${path}/recipes`);
    expect(items.find(({ name }) => name === 'Red base')).toMatchObject({
      usedIn: ['Lentil cream', 'Mince pot'],
      components: [],
      versionNumber: 1,
    });
  });

  it('shows nothing of it to another cooperative, and lets a reader write nothing', async () => {
    const other = await buildCooperative(api, {
      households: [{ name: 'Far' }, { name: 'Near', roles: ['reader'] }],
    });
    const pot = pantry.recipes['Mince pot'] as Recipe;
    expect((await other.coordinator.call('GET', `${other.path}/recipes/${pot.id}`)).status).toBe(404);
    expect((await other.coordinator.call('GET', `${path}/recipes/${pot.id}`)).status).toBe(404);
    const body = { name: 'Theirs', ...plain() };
    const answer = await other.coordinator.call<Problem>('POST', `${other.path}/recipes`, body);
    expect([answer.status, answer.body.errors?.[0]?.pointer]).toEqual([400, '#/lines/0/ingredientId']);
    const reader = other.household('Near').client;
    expect((await reader.call('POST', `${other.path}/ingredients`, { name: 'Salt', baseUnit: 'g' })).status).toBe(403);
  });
});
