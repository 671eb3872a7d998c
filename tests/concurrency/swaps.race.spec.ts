import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { swap } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';

type Swap = z.infer<typeof swap> & { code?: string };

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
  cooperative = await buildCooperative(api);
  round = await buildSharedRound(api, cooperative, {
    dishes: [{ name: 'Stew', containers: Array.from({ length: 36 }, () => 4) }],
    participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '1' })),
  });
});
afterAll(() => api.stop());

const propose = (from: string, to: string, give: string, get: string) =>
  cooperative.household(from).client.ok<Swap>('POST', `${cooperative.path}/swaps`, {
    fromHouseholdId: cooperative.household(from).id,
    toHouseholdId: cooperative.household(to).id,
    giveContainerIds: [give],
    getContainerIds: [get],
  });
const accept = (who: string, { id, version }: Swap) =>
  cooperative
    .household(who)
    .client.call<Swap>('POST', `${cooperative.path}/swaps/${id}/answer`, { answer: 'accept' }, { ifMatch: version });
const holders = () =>
  withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ id: string; name: string; state: string }>(
      `SELECT c.id, h.name, c.state FROM container c JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
       WHERE c.cooperative_id = $1`,
      [cooperative.id],
    );
    return new Map(rows.map(({ id, name, state }) => [id, { name, state }]));
  });

describe('swaps at the same moment', () => {
  it('accepted while a part is eaten: all parts move or none, and the loser is told', async () => {
    for (let trial = 0; trial < 6; trial += 1) {
      const [give, get] = [round.of('Birch')[trial]!.id, round.of('Cedar')[trial]!.id];
      const proposal = await propose('Birch', 'Cedar', give, get);
      const [swapped, eaten] = await Promise.all([
        accept('Cedar', proposal),
        cooperative
          .household('Birch')
          .client.call<{ code?: string }>(
            'POST',
            `${cooperative.path}/containers/${give}/end`,
            { state: 'eaten' },
            { ifMatch: 2 },
          ),
      ]);
      const after = await holders();
      if (swapped.status === 200) {
        // The container is Cedar's by then, which Birch's request could not know.
        expect([403, 412]).toContain(eaten.status);
        expect([after.get(give), after.get(get)]).toEqual([
          { name: 'Cedar', state: 'sealed' },
          { name: 'Birch', state: 'sealed' },
        ]);
      } else {
        expect(swapped).toMatchObject({ status: 409, body: { code: 'not-swappable' } });
        expect(eaten.status).toBe(200);
        expect([after.get(give), after.get(get)]).toEqual([
          { name: 'Birch', state: 'eaten' },
          { name: 'Cedar', state: 'sealed' },
        ]);
      }
    }
  });

  it('for the same container: one happens, the other is refused', async () => {
    for (let trial = 6; trial < 10; trial += 1) {
      const wanted = round.of('Alder')[trial]!.id;
      const [birch, cedar] = [round.of('Birch')[trial]!.id, round.of('Cedar')[trial]!.id];
      const proposals = [
        await propose('Birch', 'Alder', birch, wanted),
        await propose('Cedar', 'Alder', cedar, wanted),
      ];
      const answers = await Promise.all(proposals.map((proposal) => accept('Alder', proposal)));
      expect(answers.map(({ status }) => status).sort()).toEqual([200, 409]);
      expect(answers.find(({ status }) => status === 409)?.body.code).toBe('not-swappable');
      const winner = answers.findIndex(({ status }) => status === 200) === 0 ? 'Birch' : 'Cedar';
      expect((await holders()).get(wanted)?.name).toBe(winner);
    }
  });

  it('in a circle of three: nobody waits for anybody for ever', async () => {
    const pairs = [
      ['Alder', 'Birch'],
      ['Birch', 'Cedar'],
      ['Cedar', 'Alder'],
    ] as const;
    const proposals = await Promise.all(
      pairs.map(([from, to]) => propose(from, to, round.of(from)[10]!.id, round.of(to)[11]!.id)),
    );
    const answers = await Promise.all(proposals.map((proposal, index) => accept(pairs[index]![1], proposal)));
    expect(answers.map(({ status }) => status)).toEqual([200, 200, 200]);
  });
});
