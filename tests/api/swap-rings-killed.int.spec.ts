import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';
import { setTimeout as delay } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { brokenInvariants } from '../database/test-database.ts';
import { Client, ORIGIN, startApi, type Api } from './harness.ts';

const MAIN = fileURLToPath(new URL('../../apps/api/dist/main.js', import.meta.url));
const names = ['Alder', 'Birch', 'Cedar'];
const dishes = ['Stew', 'Pie', 'Soup'];
const RINGS = 8;
const NOW = '2026-11-23T10:00:00.000Z';

/** The built API as a process that can be killed, over the database of the test. */
class Killable {
  private child: ChildProcess | undefined;
  private port = 0;

  constructor(private readonly databaseUrl: string) {}

  get url(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  async start(): Promise<void> {
    this.port = await freePort();
    const env = {
      PATH: process.env['PATH'],
      DATABASE_URL: this.databaseUrl,
      PUBLIC_URL: ORIGIN,
      LOG_LEVEL: 'fatal',
      FROSTMOOT_NOW: NOW,
    };
    this.child = spawn(process.execPath, [MAIN], { env: { ...env, PORT: String(this.port) }, stdio: 'ignore' });
    for (;;) {
      const ok = await fetch(`${this.url}/api/health/ready`).then(
        (response) => response.ok,
        () => false,
      );
      if (ok) return;
      await delay(50);
    }
  }

  async kill(): Promise<void> {
    const child = this.child;
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    child.kill('SIGKILL');
    await once(child, 'exit');
  }
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  server.close();
  await once(server, 'close');
  return typeof address === 'object' && address ? address.port : 0;
}

describe('the API killed (-9) while rings are answered', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let round: SharedRound;
  let swappers: Swappers;
  let killable: Killable;
  beforeAll(async () => {
    api = await startApi({ now: new Date(NOW) });
    cooperative = await buildCooperative(api);
    round = await buildSharedRound(api, cooperative, {
      dishes: dishes.map((name) => ({ name, containers: Array.from({ length: 3 * RINGS }, () => 2) })),
      participants: names.map((household) => ({ household, weight: '2' })),
    });
    swappers = new Swappers(api, cooperative);
    killable = new Killable(api.database.appUrl);
    await killable.start();
  });
  afterAll(async () => {
    await killable.kill();
    await api.stop();
  });

  const recipe = (dish: string) => round.containers.find((box) => box.dish === dish)!.recipeId;
  let used = 0;
  async function nextRing() {
    const boxes = names.map((name, at) => round.of(name).filter(({ dish }) => dish === dishes[at])[used]!.id);
    used += 1;
    for (const [at, name] of names.entries()) {
      await swappers.offer(name, boxes[at]!);
      // More than is offered, since a ring that waits counts against the wish.
      await swappers.wish(name, recipe(dishes[(at + 2) % 3]!), 5);
    }
    const [id] = await swappers.search();
    return { id: id!, boxes };
  }
  /** An answer through the process that may be killed, under a key of its own: null when no answer came back. */
  const answer = async (name: string, ringId: string, key: string): Promise<number | null> => {
    const { client, id } = cooperative.household(name);
    try {
      const { status } = await new Client(killable.url, client.cookie).call(
        'POST',
        `${cooperative.path}/swap-rings/${ringId}/answer`,
        { householdId: id, answer: 'accept' },
        { ifMatch: 1, key },
      );
      return status;
    } catch {
      return null;
    }
  };
  const holders = async (ids: string[]) =>
    withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ id: string; name: string }>(
        `SELECT c.id, h.name FROM container c JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
         WHERE c.cooperative_id = $1`,
        [cooperative.id],
      );
      return ids.map((id) => rows.find((row) => row.id === id)?.name).join();
    });

  it('keeps each yes that was acknowledged, and the ring goes on from there', async () => {
    const { id, boxes } = await nextRing();
    expect(await answer('Alder', id, 'alder-says-yes')).toBe(200);
    await killable.kill();
    await killable.start();
    expect((await swappers.ring('Birch', id)).members.find(({ household }) => household.name === 'Alder')?.answer).toBe(
      'accepted',
    );
    expect(await holders(boxes)).toBe('Alder,Birch,Cedar');
    expect(await answer('Birch', id, 'birch-says-yes')).toBe(200);
    await killable.kill();
    await killable.start();
    expect(await answer('Cedar', id, 'cedar-says-yes')).toBe(200);
    expect(await holders(boxes)).toBe('Birch,Cedar,Alder');
    expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
  });

  it('has moved everything or nothing, whenever it dies under load, and the same answers finish it', async () => {
    const acknowledged: string[] = [];
    for (const after of [4, 12, 30]) {
      const rings = [await nextRing(), await nextRing()];
      const all = () =>
        Promise.all(
          rings.flatMap((ring) =>
            names.map(async (name) => {
              const key = `${name}-${ring.id}`;
              const status = await answer(name, ring.id, key);
              if (status === 200) acknowledged.push(key);
            }),
          ),
        );
      await Promise.all([all(), delay(after).then(() => killable.kill())]);
      for (const { id, boxes } of rings) {
        const { state, members } = await swappers.ring('Alder', id);
        expect(await holders(boxes)).toBe(state === 'done' ? 'Birch,Cedar,Alder' : names.join());
        for (const { household, answer: said } of members)
          if (acknowledged.includes(`${household.name}-${id}`)) expect(said).toBe('accepted');
      }
      expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
      await killable.start();
      // Whoever got no answer sends the same again under the same key.
      for (let again = 0; again < 3; again += 1) await all();
      for (const { id, boxes } of rings) {
        expect((await swappers.ring('Alder', id)).state).toBe('done');
        expect(await holders(boxes)).toBe('Birch,Cedar,Alder');
      }
    }
  });
});
