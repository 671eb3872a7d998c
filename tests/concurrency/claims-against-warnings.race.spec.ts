import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { household, notices } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { Client, startApi, type Answer, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { brokenInvariants } from '../database/test-database.ts';
import { endProcess, startProcess, type Process } from './api-process.ts';
import { inside } from './inside.ts';

// Each dish is a batch of one container in the pool. Milk: Regulation (EU) No 1169/2011, Annex II, 7.

const NOW = '2026-11-23T10:00:00Z';
const TIMES = 6;
const MILK = [{ subject: 'milk', strength: 'hard' }];
type Told = Answer<{ code?: string }>;
type Declared = Answer<z.infer<typeof household>>;

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
let processes: Process[] = [];
beforeAll(async () => {
  api = await startApi({ now: new Date(NOW) });
  cooperative = await buildCooperative(api, {
    households: ['Alder', 'Birch', 'Cedar'].map((name) => ({ name, diners: [{ name: 'Robin' }] })),
  });
  const { version } = await cooperative.coordinator.ok<{ version: number }>('GET', cooperative.path);
  await cooperative.coordinator.ok('PATCH', cooperative.path, { claimAheadPortions: 50 }, { ifMatch: version });
  const named = (what: string, more: object) =>
    Array.from({ length: TIMES }, (_, index) => ({ name: `${what} ${index}`, containers: [1], ...more }));
  round = await buildSharedRound(api, cooperative, {
    dishes: [...named('Gratin', { unfitFor: ['milk'] }), ...named('Soup', {})],
    participants: cooperative.households.map(({ name: household }) => ({ household, weight: '2' })),
  });
  for (const { id, name, client } of cooperative.households) {
    for (const box of round.of(name)) {
      await client.ok('POST', `${cooperative.path}/containers/${box.id}/release`, { householdId: id });
    }
  }
  processes = await Promise.all([startProcess(api.database.appUrl, NOW), startProcess(api.database.appUrl, NOW)]);
});
afterAll(async () => {
  for (const each of processes) await endProcess(each);
  await api.stop();
});

/** As a household at one of the two processes. */
const at = (which: number, name: string): Client =>
  new Client(processes[which]?.url ?? '', cooperative.household(name).client.cookie);

const claim = (which: number, containerId: string): Promise<Told> =>
  at(which, 'Birch').call('POST', `${cooperative.path}/containers/${containerId}/claim`, {
    householdId: cooperative.household('Birch').id,
  });

const holderOf = (containerId: string) =>
  withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ holder: string | null; state: string }>(
      'SELECT holder_household_id AS holder, state FROM container WHERE id = $1',
      [containerId],
    );
    return rows[0];
  });

/** Whether Birch was told of this container by a notice of the kind. */
async function wasTold(kind: string, code: string): Promise<boolean> {
  const { items } = await at(0, 'Birch').ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`);
  return items.some((each) => each.kind === kind && String(each.facts['codes']).split(', ').includes(code));
}

describe('a claim while it is declared what the food is not for', () => {
  it('is refused, or the household is told of what it holds: nobody has it in silence', async () => {
    const { id } = cooperative.household('Birch');
    const path = `${cooperative.path}/households/${id}`;
    const gratins = round.containers.filter(({ dish }) => dish.startsWith('Gratin'));
    for (const [turn, box] of gratins.entries()) {
      const { diners } = await at(0, 'Birch').ok<z.infer<typeof household>>('GET', path);
      const diner = diners[0];
      if (!diner) throw new Error('Birch has a diner');
      const put = (which: number, restrictions: object[], ifMatch: number) =>
        at(which, 'Birch').call<z.infer<typeof household>>(
          'PATCH',
          `${path}/diners/${diner.id}`,
          { name: diner.name, ageBand: 'adult', birthYear: null, restrictions, consent: true },
          { ifMatch },
        );
      const take = () => claim(turn % 2, box.id);
      const declare = () => put((turn + 1) % 2, MILK, diner.version);
      const orders = [
        () => inside(api, ['container', box.id], take, declare),
        async () => (await inside(api, ['diner', diner.id], declare, take)).reverse() as [Told, Declared],
        () => Promise.all([take(), declare()]),
      ];
      const [claimed, declared] = (await orders[turn % 3]?.()) ?? [];
      if (!claimed || !declared) throw new Error('There are three orders');
      expect(declared.status).toBe(200);
      const { holder } = (await holderOf(box.id)) ?? {};
      expect([claimed.status, claimed.body.code, holder, await wasTold('diner-declared', box.code)]).toEqual(
        claimed.status === 200 ? [200, undefined, id, true] : [409, 'excluded-food', null, false],
      );
      expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
      const version = declared.body.diners[0]?.version ?? 0;
      expect((await put(0, [], version)).status).toBe(200);
      if (holder)
        await at(0, 'Birch').ok('POST', `${cooperative.path}/containers/${box.id}/release`, { householdId: id });
    }
  });

  it('is refused, or the recall reaches whoever claimed', async () => {
    const { id } = cooperative.household('Birch');
    for (const [turn, box] of round.containers.filter(({ dish }) => dish.startsWith('Soup')).entries()) {
      const recall = () =>
        at((turn + 1) % 2, 'Alder').call('POST', `${cooperative.path}/recalls`, {
          source: 'batch',
          sourceId: round.batches[box.dish],
          drill: false,
          reference: 'made up',
        });
      const take = () => claim(turn % 2, box.id);
      const orders = [
        () => inside(api, ['container', box.id], take, recall),
        async () => (await inside(api, ['container', box.id], recall, take)).reverse() as [Told, Answer],
        () => Promise.all([take(), recall()]),
      ];
      const [claimed, recalled] = (await orders[turn % 3]?.()) ?? [];
      if (!claimed || !recalled) throw new Error('There are three orders');
      expect(recalled.status).toBe(201);
      const { holder, state } = (await holderOf(box.id)) ?? {};
      expect([state, claimed.status, holder, await wasTold('recall', box.code)]).toEqual(
        claimed.status === 200 ? ['recalled', 200, id, true] : ['recalled', 409, null, false],
      );
      expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
    }
  });
});
