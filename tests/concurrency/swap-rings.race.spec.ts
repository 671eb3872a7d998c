import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';

const names = ['Alder', 'Birch', 'Cedar'];
const dishes = ['Stew', 'Pie', 'Soup'];
const TRIALS = 3;
const RINGS = 13;

let api: Api;
let cooperative: BuiltCooperative;
let round: SharedRound;
let swappers: Swappers;
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
  cooperative = await buildCooperative(api);
  round = await buildSharedRound(api, cooperative, {
    dishes: dishes.map((name) => ({ name, containers: Array.from({ length: 3 * RINGS }, () => 2) })),
    participants: names.map((household) => ({ household, weight: '2' })),
  });
  swappers = new Swappers(api, cooperative);
});
afterAll(() => api.stop());

const recipe = (dish: string) => round.containers.find((box) => box.dish === dish)!.recipeId;
const holders = (ids: string[]) =>
  withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ id: string; name: string | null; state: string }>(
      `SELECT c.id, h.name, c.state FROM container c LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
       WHERE c.cooperative_id = $1 AND c.id = ANY($2)`,
      [cooperative.id, ids],
    );
    return ids.map((id) => rows.find((row) => row.id === id)!);
  });
let used = 0;
/** The next ring of three, and its containers: Alder's stew to Birch, Birch's pie to Cedar, Cedar's soup to Alder. */
async function nextRing() {
  // What an earlier ring has left on offer would be in this one too.
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `UPDATE swap_offer SET ended_at = now(), ended_reason = 'taken-back' WHERE cooperative_id = $1 AND ended_at IS NULL`,
      [cooperative.id],
    ),
  );
  const boxes = names.map((name, at) => round.of(name).filter(({ dish }) => dish === dishes[at])[used]!.id);
  used += 1;
  for (const [at, name] of names.entries()) {
    await swappers.offer(name, boxes[at]!);
    await swappers.wish(name, recipe(dishes[(at + 2) % 3]!));
  }
  const [id] = await swappers.search();
  return { id: id!, boxes };
}
const moved = async (boxes: string[]) => (await holders(boxes)).map(({ name }) => name).join() === 'Birch,Cedar,Alder';
const stayed = async (boxes: string[]) => (await holders(boxes)).map(({ name }) => name).join() === names.join();

describe('a ring, when several things happen at the same moment', () => {
  it('is done once when all accept at once', async () => {
    for (let trial = 0; trial < TRIALS; trial += 1) {
      const { id, boxes } = await nextRing();
      const answers = await Promise.all(names.map((name) => swappers.answer(name, id, 'accept', 1)));
      expect(answers.map(({ status }) => status)).toEqual([200, 200, 200]);
      expect(answers.filter(({ body }) => body.state === 'done')).toHaveLength(1);
      expect(await moved(boxes)).toBe(true);
    }
  });

  it('counts the same answer once, however often it arrives', async () => {
    const { id, boxes } = await nextRing();
    await swappers.answer('Alder', id);
    await swappers.answer('Birch', id);
    const { client, id: cedar } = cooperative.household('Cedar');
    const path = `${cooperative.path}/swap-rings/${id}/answer`;
    const answers = await Promise.all(
      Array.from({ length: 5 }, (_, at) =>
        client.call(
          'POST',
          path,
          { householdId: cedar, answer: 'accept' },
          { ifMatch: 1, key: `again-and-again-${at % 2}` },
        ),
      ),
    );
    expect(answers.filter(({ status }) => status >= 500)).toEqual([]);
    expect(await moved(boxes)).toBe(true);
  });

  it('moves everything or nothing when the last yes meets a no, a meal or a release', async () => {
    const { path } = cooperative;
    const against: ((ring: { id: string; boxes: string[] }) => Promise<{ status: number }>)[] = [
      ({ id }) => swappers.answer('Alder', id, 'decline', 2),
      ({ boxes }) =>
        cooperative
          .household('Birch')
          .client.call('POST', `${path}/containers/${boxes[1]}/end`, { state: 'eaten' }, { ifMatch: 2 }),
      ({ boxes }) =>
        cooperative.household('Cedar').client.call('POST', `${path}/containers/${boxes[2]}/release`, {
          householdId: cooperative.household('Cedar').id,
        }),
    ];
    for (const other of against) {
      for (let trial = 0; trial < 2; trial += 1) {
        const ring = await nextRing();
        await swappers.answer('Alder', ring.id);
        await swappers.answer('Birch', ring.id);
        const [yes, against_] = await Promise.all([swappers.answer('Cedar', ring.id, 'accept', 1), other(ring)]);
        expect([yes.status < 500, against_.status < 500]).toEqual([true, true]);
        const { state } = await swappers.ring('Alder', ring.id);
        if (yes.status === 200) {
          expect([state, await moved(ring.boxes)]).toEqual(['done', true]);
          expect(against_.status).toBeGreaterThanOrEqual(400);
        } else {
          expect(state).not.toBe('done');
          expect(against_.status).toBeLessThan(300);
          const [first] = await holders(ring.boxes);
          expect(first?.name).toBe('Alder');
        }
      }
    }
  });

  it('and a swap over the same container: one of both happens', async () => {
    for (let trial = 0; trial < 2; trial += 1) {
      const ring = await nextRing();
      await swappers.answer('Alder', ring.id);
      await swappers.answer('Birch', ring.id);
      const theirs = round.of('Alder').filter(({ dish }) => dish === 'Soup')[trial]!.id;
      const proposal = await cooperative
        .household('Cedar')
        .client.ok<{ id: string }>('POST', `${cooperative.path}/swaps`, {
          fromHouseholdId: cooperative.household('Cedar').id,
          toHouseholdId: cooperative.household('Alder').id,
          giveContainerIds: [ring.boxes[2]],
          getContainerIds: [theirs],
        });
      const path = `${cooperative.path}/swaps/${proposal.id}/answer`;
      const [yes, swapped] = await Promise.all([
        swappers.answer('Cedar', ring.id, 'accept', 1),
        cooperative.household('Alder').client.call('POST', path, { answer: 'accept' }, { ifMatch: 1 }),
      ]);
      expect([yes.status, swapped.status].sort()).toEqual([200, 409]);
      // Cedar's container went one way or the other, and with it either all of the ring or both parts of the swap.
      expect(yes.status === 200 ? await moved(ring.boxes) : await stayed([...ring.boxes.slice(0, 2), theirs])).toBe(
        true,
      );
    }
  });

  it('is proposed once by searches at the same moment', async () => {
    const boxes = names.map((name, at) => round.of(name).filter(({ dish }) => dish === dishes[at])[used]!.id);
    used += 1;
    for (const [at, name] of names.entries()) {
      await swappers.offer(name, boxes[at]!);
      await swappers.wish(name, recipe(dishes[(at + 2) % 3]!));
    }
    const found = await Promise.all(Array.from({ length: 4 }, () => swappers.search()));
    expect(found.flat()).toHaveLength(1);
  });
});
