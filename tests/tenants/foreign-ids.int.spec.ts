import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildFullCooperative } from '../builders/full-cooperative.ts';
import { NOW } from '../builders/pantry.ts';
import { ask, everythingOf, idsOf, operations, queries, type Ids, type Operation } from './operations.ts';

// Every operation of the document, asked by a member of another cooperative: under the foreign cooperative's own path, and under their own path with
// the foreign ids.

/** Writes that name nothing: in one's own cooperative they simply succeed. */
const NAMES_NOTHING = new Set([
  'seeNotices',
  'changeCooperative',
  'createHousehold',
  'createIngredient',
  'createSeller',
  'findRings',
]);

describe.each([
  { held: 'by the application and row-level security', role: 'app' },
  { held: 'by the application alone', role: 'owner' },
] as const)('the ids of another cooperative, held back $held,', ({ role }) => {
  let api: Api;
  let theirs: BuiltCooperative;
  let mine: BuiltCooperative;
  let ids: Ids;
  beforeAll(async () => {
    api = await startApi({ now: NOW }, role);
    theirs = await buildFullCooperative(api);
    mine = await buildCooperative(api);
    ids = await idsOf(api, theirs.id);
  });
  afterAll(() => api.stop());

  const call = (operation: Operation, cooperativeId: string) => ask(mine.coordinator, operation, cooperativeId, ids, 1);

  it('are asked for with every operation that there is', () => {
    expect(operations.length).toBeGreaterThan(45);
  });

  it('open nothing under the path of the foreign cooperative', async () => {
    const before = await everythingOf(api, theirs.id);
    for (const operation of operations) {
      const { status, body } = await call(operation, theirs.id);
      expect([operation.id, status, body['code']]).toEqual([operation.id, 404, 'not-found']);
    }
    expect(await everythingOf(api, theirs.id)).toEqual(before);
  });

  it('name nothing under one’s own path', async () => {
    const before = await everythingOf(api, theirs.id);
    const objects = operations.filter(({ path }) => path.replace('{cooperativeId}', '').includes('{'));
    expect(objects.length).toBeGreaterThan(25);
    for (const operation of objects) {
      const { status, body } = await call(operation, mine.id);
      expect([operation.id, status, body['code']]).toEqual([operation.id, 404, 'not-found']);
    }
    expect(await everythingOf(api, theirs.id)).toEqual(before);
  });

  it('cannot be written into one’s own things, nor read by a query', async () => {
    const before = await everythingOf(api, theirs.id);
    const naming = operations.filter(
      ({ id, path, method }) =>
        !path.replace('{cooperativeId}', '').includes('{') &&
        !NAMES_NOTHING.has(id) &&
        (method !== 'GET' || queries[id] !== undefined),
    );
    for (const operation of naming) {
      const { status, text } = await call(operation, mine.id);
      // A list that is filtered by a foreign id is empty; everything else is refused.
      if (operation.id === 'listOffers') expect(text).toBe('{"items":[]}');
      else if (operation.id === 'getLatestJob') expect(text).toBe('{"job":null}');
      else expect([operation.id, status >= 400 && status < 500, text]).toEqual([operation.id, true, text]);
    }
    expect(await everythingOf(api, theirs.id)).toEqual(before);
  });

  it('are never in what a member of another cooperative reads', async () => {
    const reads = operations.filter(
      ({ id, method, path }) =>
        method === 'GET' && id !== 'streamEvents' && !path.replace('{cooperativeId}', '').includes('{'),
    );
    const everything = await everythingOf(api, theirs.id);
    const foreign = new Set(JSON.stringify(everything).match(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g));
    for (const { path } of reads) {
      const { text } = await mine.coordinator.call('GET', path.replace('{cooperativeId}', mine.id));
      const shown: string[] = text.match(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g) ?? [];
      expect([path, shown.filter((id) => foreign.has(id))]).toEqual([path, []]);
    }
  });
});
