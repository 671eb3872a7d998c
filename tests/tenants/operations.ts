import { readFileSync } from 'node:fs';
import type pg from 'pg';
import { withClient } from '../../tools/database.mjs';
import { DATES, quality } from '../builders/pantry.ts';
import type { Client, Answer, Api } from '../api/harness.ts';

type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
export interface Operation {
  id: string;
  method: Method;
  path: string;
}
export type Ids = Record<string, string>;

const document = JSON.parse(
  readFileSync(new URL('../../packages/contract/openapi/openapi.json', import.meta.url), 'utf8'),
) as { paths: Record<string, Record<string, { operationId: string }>> };
const all: Operation[] = Object.entries(document.paths).flatMap(([path, item]) =>
  Object.entries(item).map(([method, { operationId }]) => ({
    id: operationId,
    method: method.toUpperCase() as Method,
    path: path.replace('/api', ''),
  })),
);
const isInside = ({ path }: Operation): boolean => path.startsWith('/cooperatives/{cooperativeId}');
/** Every operation inside a cooperative. */
export const operations = all.filter(isInside);
/** Every other one. */
export const outside = all.filter((operation) => !isInside(operation));

const COLLECTION = { place: 'Our porch', collectBy: '2026-12-01T20:00:00.000Z' };

/** A body for each write that would do if the ids in it were one's own; a new operation needs a row. */
const bodies: Record<string, (ids: Ids) => object | undefined> = {
  changeCooperative: () => ({ name: 'Ours now' }),
  invite: (ids) => ({ householdId: ids['household'], roles: ['adult'] }),
  createHousehold: () => ({ name: 'Ours' }),
  changeHousehold: () => ({ name: 'Ours now' }),
  addDiner: () => ({ name: 'Kit', ageBand: 'child' }),
  changeDiner: () => ({ name: 'Kit', ageBand: 'child' }),
  removeDiner: () => undefined,
  createIngredient: () => ({ name: 'Salt', baseUnit: 'g' }),
  changeIngredient: () => ({ name: 'Salt', baseUnit: 'g' }),
  createRecipe: (ids) => ({ name: 'Ours', ...version(ids) }),
  saveRecipeVersion: version,
  createRound: (ids) => ({
    ...DATES,
    dinners: 2,
    kitchenHouseholdId: ids['household'],
    cookHouseholdIds: [ids['household']],
  }),
  saveDishes: (ids) => ({ dishes: [{ recipeId: ids['recipe'], batches: 1 }] }),
  proposeDishes: (ids) => ({
    atHand: [{ ingredientId: ids['ingredient'], packs: 1, packQuantity: '1', packUnit: 'kg' }],
  }),
  moveRound: () => ({ to: 'cooking' }),
  changeParticipant: (ids) => ({ householdId: ids['household'], fromDate: DATES.buyOn, weight: '1', reason: 'Ours' }),
  saveCookDay: (ids) => ({
    date: DATES.cookOn,
    startsAt: '09:00',
    kitchenHouseholdId: ids['household'],
    householdIds: [ids['household']],
  }),
  createSeller: () => ({ name: 'Ours' }),
  changeSeller: () => ({ name: 'Ours now' }),
  createOffer: (ids) => ({
    sellerId: ids['seller'],
    ingredientId: ids['ingredient'],
    label: 'A bag',
    packQuantity: '1',
    packUnit: 'kg',
    priceMinor: '1',
    validFrom: DATES.buyOn,
  }),
  tickPurchase: () => ({ bought: true }),
  createReceipt: (ids) => ({
    sellerId: ids['seller'],
    paidByHouseholdId: ids['household'],
    boughtOn: DATES.buyOn,
    lines: [{ label: 'Salt', amountMinor: '1' }],
  }),
  correctReceiptLine: (ids) => ({ kind: 'refund', lineId: ids['receiptLine'], on: DATES.buyOn, reason: 'Ours' }),
  enterYield: () => ({ frozenOn: DATES.cookOn, containers: [{ portions: 4, count: 1 }] }),
  enterReading: () => ({
    rule: 'cooked',
    startedAt: `${DATES.cookOn}T10:00:00.000Z`,
    measuredAt: `${DATES.cookOn}T11:00:00.000Z`,
    celsius: '40',
  }),
  workOutRunSheet: () => ({ people: 2 }),
  enterStepDone: (ids) => ({ step: `${ids['recipe']}.1.0`, act: 'done', at: `${DATES.cookOn}T10:00:00.000Z` }),
  saveHouseholdKitchen: () => ({ hobs: 4, ovens: 1, potsLitres: ['10'], benchPeople: 2 }),
  proposeShareOut: () => undefined,
  confirmShareOut: () => undefined,
  claimContainer: (ids) => ({ householdId: ids['household'] }),
  releaseContainer: (ids) => ({ householdId: ids['household'] }),
  claimAll: (ids) => ({ householdId: ids['household'] }),
  claimOfDish: (ids) => ({ householdId: ids['household'], recipeId: ids['recipe'] }),
  joinWaiting: (ids) => ({ householdId: ids['household'], recipeId: ids['recipe'] }),
  leaveWaiting: () => undefined,
  searchShareOut: () => ({}),
  setClaimWindow: () => ({ window: null }),
  correctShareOut: (ids) => ({ containerId: ids['container'], kind: 'broken', reason: 'Ours now' }),
  endContainer: () => ({ state: 'eaten' }),
  restoreContainer: () => undefined,
  moveContainer: () => ({ place: 'Ours' }),
  setCollection: () => COLLECTION,
  changeCollection: () => COLLECTION,
  chooseCollection: (ids) => ({ householdId: ids['household'], slotId: null, delegateHouseholdId: null }),
  releaseUncollected: (ids) => ({ householdId: ids['household'] }),
  handOverContainer: (ids) => ({ toHouseholdId: ids['household'] }),
  undoHandOver: () => undefined,
  proposeSwap: (ids) => ({
    fromHouseholdId: ids['household'],
    toHouseholdId: ids['otherHousehold'],
    giveContainerIds: [ids['container']],
    getContainerIds: [ids['otherContainer']],
  }),
  answerSwap: () => ({ answer: 'accept' }),
  offerContainers: (ids) => ({ householdId: ids['household'], containerIds: [ids['container']] }),
  takeBackOffer: () => undefined,
  addWish: (ids) => ({ householdId: ids['household'], recipeId: ids['recipe'], containers: 1 }),
  removeWish: () => undefined,
  findRings: () => undefined,
  answerRing: (ids) => ({ householdId: ids['household'], answer: 'accept' }),
  recordPayment: (ids) => ({
    fromHouseholdId: ids['household'],
    toHouseholdId: ids['otherHousehold'],
    amountMinor: '1',
    on: DATES.buyOn,
  }),
  settleLeaving: () => ({ portionsMicro: '0', moneyMinor: null }),
  reverseEntry: () => ({ reason: 'Ours now' }),
  stopJob: () => undefined,
  saveHouseholdCooking: (ids) => ({ recipeIds: [ids['recipe']], awayWeeks: [DATES.cookOn] }),
  proposeRota: (ids) => ({
    from: DATES.cookOn,
    weeks: 2,
    team: 1,
    kept: [{ weekOf: '2026-11-30', householdId: ids['household'] }],
  }),
  saveRotaTurns: (ids) => ({ turns: [{ weekOf: '2026-11-30', householdId: ids['household'] }] }),
  acceptRotaLimits: () => undefined,
  publishRota: () => undefined,
  setRotaAside: () => undefined,
  releaseTurn: () => undefined,
  coverTurn: (ids) => ({ householdId: ids['household'] }),
  startRecall: (ids) => ({ source: 'batch', sourceId: ids['batch'], drill: false }),
  answerRecall: (ids) => ({
    householdId: ids['household'],
    answers: [{ containerId: ids['container'], answer: 'set-apart' }],
  }),
  remindRecall: (ids) => ({ householdId: ids['household'] }),
  closeRecall: () => ({ words: 'Ours' }),
  reportSuspicion: (ids) => ({ containerId: ids['container'], reason: 'warm' }),
  saveLot: (ids) => ({ receiptLineId: ids['receiptLine'], code: '4471' }),
  tellBatchLots: (ids) => ({ lotIds: [ids['lot']] }),
  seeNotices: () => undefined,
  seeNotice: () => undefined,
  proposeTurnSwap: (ids) => ({
    fromHouseholdId: ids['household'],
    givesTurnId: ids['turn'],
    getsTurnId: ids['otherTurn'],
  }),
  answerTurnSwap: () => ({ answer: 'accept' }),
};
function version(ids: Ids) {
  const lines = [{ ingredientId: ids['ingredient'], quantity: '1', unit: 'kg' }];
  return { ...quality, makes: { quantity: '1', unit: 'kg' }, lines };
}

const bodyOf = ({ id, method }: Operation, ids: Ids): object | undefined => {
  if (method === 'GET') return undefined;
  const body = bodies[id];
  if (!body) throw new Error(`${id} has no body in this test yet`);
  return body(ids);
};

/** The path with the cooperative given and every other id a foreign one. */
const filled = ({ path }: Operation, cooperativeId: string, ids: Ids): string =>
  path.replace(/\{(\w+)\}/g, (_, name: string) => {
    if (name === 'cooperativeId') return cooperativeId;
    const id = ids[name.replace(/Id$/, '')];
    if (id === undefined) throw new Error(`No ${name} is known to this test`);
    return id;
  });
export const queries: Record<string, (foreign: Ids) => string> = {
  scaleRecipe: () => '?portions=4',
  getFreezer: (foreign) => `?householdId=${foreign['household']}`,
  getSwaps: (foreign) => `?householdId=${foreign['household']}`,
  getTurnSwaps: (foreign) => `?householdId=${foreign['household']}`,
  getThisWeek: (foreign) => `?householdId=${foreign['household']}`,
  listOffers: (foreign) => `?ingredientId=${foreign['ingredient']}`,
  getStatement: () => '?book=money',
  traceRecall: (foreign) => `?source=batch&sourceId=${foreign['batch']}`,
  getLatestJob: (foreign) => `?kind=notice-mail&subjectId=${foreign['round']}`,
};

/** Asks for an operation in a cooperative with ids for all that it names. */
export const ask = (
  client: Client,
  operation: Operation,
  cooperativeId: string,
  ids: Ids,
  ifMatch: number,
  body = bodyOf(operation, ids),
): Promise<Answer> =>
  client.call(operation.method, `${filled(operation, cooperativeId, ids)}${queries[operation.id]?.(ids) ?? ''}`, body, {
    ifMatch,
  });

/** The version that the thing has by now which an operation names last; 1 for what has none. */
export async function versionOf(
  db: pg.Client,
  cooperativeId: string,
  { id, path }: Operation,
  ids: Ids,
): Promise<number> {
  const name = [...path.matchAll(/\{(\w+)Id\}/g)].at(-1)?.[1] ?? '';
  const [table, column] = id === 'changeCollection' ? ['collection', 'round_id'] : [TABLES[name], 'id'];
  if (table === undefined) return 1;
  const { rows } = await db.query<{ version: number | null }>(
    `SELECT (to_jsonb(t) ->> 'version')::int AS version FROM ${table} t WHERE cooperative_id = $1 AND ${column} = $2`,
    [cooperativeId, ids[name]],
  );
  return rows[0]?.version ?? 1;
}

/** The table of each kind of thing that a path names by an id. */
const TABLES: Record<string, string> = {
  household: 'household',
  diner: 'diner',
  ingredient: 'ingredient',
  recipe: 'recipe',
  round: 'round',
  seller: 'seller',
  purchase: 'purchase',
  receiptLine: 'receipt_line',
  batch: 'batch',
  cookDay: 'cook_day',
  shareOut: 'share_out',
  container: 'container',
  swap: 'swap',
  swapOffer: 'swap_offer',
  swapWish: 'swap_wish',
  swapRing: 'swap_ring',
  entry: 'entry',
  job: 'job',
  rota: 'rota',
  turn: 'rota_turn',
  notice: 'notice',
  waiting: 'waiting',
  turnSwap: 'turn_swap',
  recall: 'recall',
  lot: 'ingredient_lot',
};

/** One id of each kind of thing; of those of a kind one for which its condition holds, where `preferred` has one. */
export function idsOf(api: Api, cooperativeId: string, preferred: Record<string, string> = {}): Promise<Ids> {
  return withClient(api.database.ownerUrl, async (client) => {
    const found: Ids = {};
    for (const [name, table] of Object.entries(TABLES)) {
      const { rows } = await client.query<{ id: string }>(
        `SELECT id FROM ${table} WHERE cooperative_id = $1 ORDER BY (${preferred[name] ?? 'false'}) IS TRUE DESC, id LIMIT 2`,
        [cooperativeId],
      );
      if (!rows[0]) throw new Error(`There is no ${table} to ask for`);
      found[name] = rows[0].id;
      found[`other${name.charAt(0).toUpperCase()}${name.slice(1)}`] = rows[1]?.id ?? rows[0].id;
    }
    return found;
  });
}

/** Every row of the cooperative, whatever the table. */
export function everythingOf(api: Api, cooperativeId: string): Promise<Record<string, unknown[]>> {
  return withClient(api.database.ownerUrl, async (client) => {
    const { rows: tables } = await client.query<{ name: string }>(
      `SELECT c.relname AS name FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
       WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND a.attname = 'cooperative_id' ORDER BY 1`,
    );
    const everything: Record<string, unknown[]> = {};
    for (const { name } of tables) {
      const { rows } = await client.query(`SELECT * FROM "${name}" t WHERE cooperative_id = $1 ORDER BY t`, [
        cooperativeId,
      ]);
      everything[name] = rows;
    }
    return everything;
  });
}
