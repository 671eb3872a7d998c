import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import type { Role } from '@frostmoot/contract';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api, type Client } from '../api/harness.ts';
import { addHousehold, addMember, buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildFullCooperative } from '../builders/full-cooperative.ts';
import { NOW } from '../builders/pantry.ts';
import { until } from '../builders/until.ts';
import { ask, everythingOf, idsOf, operations, type Ids, type Operation } from './operations.ts';

/**
 * Whoever asks; `owner` is an adult and `ownReader` a reader of the household that is named or whose the thing is, everybody else is of a household of
 * their own; `former` was a coordinator until their membership ended.
 */
const ACTORS = [
  'nobody',
  'stranger',
  'former',
  'reader',
  'adult',
  'buyer',
  'ownReader',
  'owner',
  'coordinator',
] as const;
type Who = (typeof ACTORS)[number];

/** Every operation under those who may do it. A new one needs a place here. */
const TABLE: { may: Who[]; hidden?: boolean; operations: string }[] = [
  {
    may: ['reader', 'adult', 'buyer', 'ownReader', 'owner', 'coordinator'],
    operations: `getCooperative getAccounts getPortionRounds getStatement getBatchLots getRunSheet listHouseholds getHousehold getHouseholdCooking
      getHouseholdKitchen listIngredients getLatestJob getNotices seeNotices listOffers getRecallSources listRecalls getRecall listRecipes getRecipe
      scaleRecipe getRota getRotaTurn listRounds getRound getBuying getCollection getKitchen printLabels getShareOut previewShareOut listSellers
      streamEvents`,
  },
  {
    may: ['adult', 'buyer', 'owner', 'coordinator'],
    operations: `tellBatchLots enterReading enterYield workOutRunSheet enterStepDone createIngredient changeIngredient saveLot createOffer createRecipe
      saveRecipeVersion proposeDishes saveDishes createSeller findRings`,
  },
  { may: ['buyer', 'coordinator'], operations: 'tickPurchase correctReceiptLine changeSeller' },
  { may: ['buyer', 'owner', 'coordinator'], operations: 'createReceipt' },
  {
    may: ['coordinator'],
    operations: `changeCooperative getLeaving settleLeaving createHousehold invite traceRecall startRecall closeRecall remindRecall proposeRota setRotaAside
      acceptRotaLimits publishRota saveRotaTurns createRound setClaimWindow setCollection changeCollection releaseUncollected saveCookDay changeParticipant
      proposeShareOut searchShareOut moveRound confirmShareOut correctShareOut getShareOutProof`,
  },
  { may: ['ownReader', 'owner', 'coordinator'], operations: 'getFreezer getSwaps getThisWeek getTurnSwaps' },
  {
    may: ['owner', 'coordinator'],
    operations: `moveContainer claimContainer endContainer handOverContainer undoHandOver restoreContainer changeHousehold saveHouseholdCooking
      addDiner changeDiner removeDiner saveHouseholdKitchen recordPayment reverseEntry answerRecall coverTurn releaseTurn claimAll chooseCollection
      claimOfDish reportSuspicion offerContainers takeBackOffer answerRing addWish removeWish proposeSwap answerSwap proposeTurnSwap answerTurnSwap joinWaiting leaveWaiting releaseContainer`,
  },
  // What a household may not see is not told apart from what there is not.
  { may: ['ownReader', 'owner', 'coordinator'], hidden: true, operations: 'getJob' },
  { may: ['owner', 'coordinator'], hidden: true, operations: 'stopJob' },
  // Each person's own mark.
  { may: ['ownReader', 'owner'], hidden: true, operations: 'seeNotice' },
];
const rows = TABLE.flatMap(({ operations: names, ...row }) => names.split(/\s+/).map((name) => ({ name, ...row })));
const rowOf = ({ id }: Operation) => {
  const row = rows.find(({ name }) => name === id);
  if (!row) throw new Error(`Nobody has said who may ${id}`);
  return row;
};

const refusalsOf = (who: Who, hidden = false): string[] => {
  if (who === 'nobody') return ['401 not-signed-in'];
  if (who === 'stranger' || who === 'former') return ['404 not-found'];
  return hidden ? ['403 forbidden', '404 not-found'] : ['403 forbidden'];
};

describe('every operation', () => {
  let api: Api;
  let ours: BuiltCooperative;
  let clients: Record<Who, Client>;
  let ids: Ids;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    ours = await buildFullCooperative(api);
    const birch = ours.household('Birch');
    const add = async (name: string, roles: Role[]) =>
      (await addHousehold(api, ours, { name, roles, diners: [] })).client;
    const former = await addMember(api, ours, birch, ['coordinator']);
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`DELETE FROM membership WHERE person_id = $1`, [former.personId]),
    );
    clients = {
      nobody: api.client(),
      stranger: (await buildCooperative(api)).coordinator,
      former: former.client,
      reader: await add('Dogwood', ['reader']),
      adult: await add('Elm', ['adult']),
      buyer: await add('Fir', ['buyer']),
      ownReader: (await addMember(api, ours, birch, ['reader'])).client,
      owner: birch.client,
      coordinator: ours.coordinator,
    };
    const jobId = randomUUID();
    await withClient(api.database.ownerUrl, (client) =>
      client.query(
        `INSERT INTO job (cooperative_id, id, kind, input, actor, created_by, due_at) VALUES ($1, $2, 'pass-on-dish', '{}', $3, $4, '2100-01-01')`,
        [ours.id, jobId, { householdId: birch.id, roles: ['adult'], displayName: 'B' }, birch.personId],
      ),
    );
    // Nothing is under way that would change rows by itself.
    await until(() =>
      withClient(api.database.ownerUrl, async (client) => {
        const { rowCount } = await client.query(
          `SELECT FROM job WHERE state = 'running' OR (state = 'queued' AND due_at <= now())`,
        );
        return rowCount === 0;
      }),
    );
    const own = `household_id = '${birch.id}'`;
    const named = await idsOf(api, ours.id, {
      ...{ household: `id = '${birch.id}'`, job: `id = '${jobId}'`, entry: `kind = 'payment'` },
      ...{ round: 'number = 2', recipe: `name = 'Pie'`, container: `holder_${own} AND state = 'sealed'` },
      ...{ diner: own, swapOffer: own, swapWish: own, turn: own, waiting: own, notice: own },
    });
    ids = { ...named, otherHousehold: ours.household('Cedar').id };
  });
  afterAll(() => api.stop());

  /** "200" or "403 forbidden". */
  async function answer(who: Who, operation: Operation, ifMatch: number): Promise<string> {
    // The swap is proposed to Cedar.
    const client = who === 'owner' && operation.id === 'answerSwap' ? ours.household('Cedar').client : clients[who];
    if (operation.id === 'streamEvents') {
      const response = await fetch(`${client.url}/api${ours.path}/events`, { headers: { cookie: client.cookie } });
      if (!response.ok) return `${response.status} ${((await response.json()) as { code: string }).code}`;
      await response.body?.cancel();
      return String(response.status);
    }
    const { status, body } = await ask(client, operation, ours.id, ids, ifMatch);
    return status < 400 ? String(status) : `${status} ${String((body as { code?: unknown } | null)?.code)}`;
  }

  it('has one place in the table', () => {
    expect(rows.map(({ name }) => name).sort()).toEqual(operations.map(({ id }) => id).sort());
  });

  it('is refused to everybody else, and changes nothing', async () => {
    const before = await everythingOf(api, ours.id);
    const wrong: string[] = [];
    let cells = 0;
    for (const operation of operations) {
      const { may, hidden } = rowOf(operation);
      for (const who of ACTORS.filter((each) => !may.includes(each))) {
        const found = await answer(who, operation, 1);
        if (!refusalsOf(who, hidden).includes(found)) wrong.push(`${operation.id} by ${who}: ${found}`);
        cells += 1;
      }
    }
    expect(wrong).toEqual([]);
    expect(cells).toBeGreaterThan(500);
    expect(await everythingOf(api, ours.id)).toEqual(before);
  });

  it('tells a reader of a household what it tells its adults, but for what only they may do', async () => {
    const told = async (who: Who, operation: Operation): Promise<string> => {
      const { text } = await ask(clients[who], operation, ours.id, ids, 1);
      return text.replaceAll(/"may\w*":(true|false)/g, '');
    };
    const reads = operations.filter(({ id, method }) => method === 'GET' && id !== 'streamEvents');
    const other: string[] = [];
    for (const operation of reads.filter((each) => rowOf(each).may.includes('ownReader'))) {
      if ((await told('ownReader', operation)) !== (await told('owner', operation))) other.push(operation.id);
    }
    expect(other).toEqual([]);
  });

  it('is done for those who may, or refused for another reason than who they are', async () => {
    const wrong: string[] = [];
    // What is given away, called back or broken is no longer its household's to do anything with, so these come last.
    const last = ({ id }: Operation) => Number(['releaseContainer', 'startRecall', 'correctShareOut'].includes(id));
    for (const operation of [...operations].sort((a, b) => last(a) - last(b))) {
      let isDone = false;
      for (const who of rowOf(operation).may) {
        // A version that nothing has: whoever may is told so, and nothing is changed under the next one's hands.
        const found = await answer(who, operation, 999);
        // What the one before has taken away is not there.
        const isRefused = /^(401|403|428|5)/.test(found) || (found.startsWith('404') && !isDone);
        if (isRefused) wrong.push(`${operation.id} by ${who}: ${found}`);
        isDone ||= /^2/.test(found);
      }
    }
    expect(wrong).toEqual([]);
  });
});
