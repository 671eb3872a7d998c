import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { randomUUID } from 'node:crypto';
import { conflicts } from '@frostmoot/calc';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { brokenInvariants } from '../database/test-database.ts';

// Over every path by which a container comes to a household: share-out, claim, swap, ring, hand-over. The model of what must not be eaten is the tests'
// own: groups and members as Regulation (EU) No 1169/2011, Annex II, has them (cereals containing gluten: wheat, barley; nuts: almonds, hazelnuts).

const RUNS = Number(process.env['ALLERGY_RUNS'] ?? 5);
const names = ['Alder', 'Birch', 'Cedar', 'Dogwood'];
const group: Record<string, string> = { wheat: 'gluten', barley: 'gluten', almond: 'tree_nut', hazelnut: 'tree_nut' };
const subjects = ['wheat', 'barley', 'gluten', 'almond', 'hazelnut', 'tree_nut', 'milk'];

/** Whether somebody with this restriction must not eat what is declared to contain this: the same, a member of the group, or a group that may hide the member. */
const forbids = (restriction: string, declared: string): boolean =>
  restriction === declared || group[declared] === restriction || group[restriction] === declared;

type Act =
  | { kind: 'claim'; who: number; box: number; words: boolean }
  | { kind: 'release' | 'eat' | 'offer' | 'hand-over'; who: number; box: number }
  | { kind: 'swap'; who: number; other: number; box: number; words: boolean }
  | { kind: 'wish'; who: number; dish: number }
  | { kind: 'rings' }
  | { kind: 'learn'; who: number; subject: number };

const who = fc.nat(names.length - 1);
const box = fc.nat(40);
const act: fc.Arbitrary<Act> = fc.oneof(
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('claim' as const), who, box, words: fc.boolean() }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('release' as const), who, box }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constantFrom('eat' as const, 'hand-over' as const), who, box }) },
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('offer' as const), who, box }) },
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('wish' as const), who, dish: fc.nat(2) }) },
  {
    weight: 3,
    arbitrary: fc.record({ kind: fc.constant('swap' as const), who, other: who, box, words: fc.boolean() }),
  },
  { weight: 3, arbitrary: fc.constant({ kind: 'rings' as const }) },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('learn' as const), who, subject: fc.nat(subjects.length - 1) }),
  },
);
const scenario = fc.record({
  restrictions: fc.array(fc.subarray(subjects, { maxLength: 2 }), { minLength: names.length, maxLength: names.length }),
  declared: fc.array(fc.subarray(subjects, { maxLength: 2 }), { minLength: 3, maxLength: 3 }),
  acts: fc.array(act, { minLength: 12, maxLength: 24 }),
});

interface Held {
  id: string;
  dish: string;
  holder: string | null;
  version: number;
  confirmed: string[];
}

/** One cooperative with what its households must not eat, and what became of its containers. */
class World {
  private before = new Map<string, string | null>();

  constructor(
    readonly api: Api,
    readonly cooperative: BuiltCooperative,
    readonly round: SharedRound,
    readonly swappers: Swappers,
    readonly restrictions: Map<string, Set<string>>,
    readonly declared: Map<string, readonly string[]>,
  ) {}

  boxes(): Promise<Held[]> {
    return withClient(this.api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<Held>(
        `SELECT c.id, r.name AS dish, h.name AS holder, c.version,
           coalesce((SELECT array_agg(s) FROM exclusion_confirmed x CROSS JOIN unnest(x.subjects) s
             WHERE x.cooperative_id = c.cooperative_id AND x.container_id = c.id AND x.household_id = c.holder_household_id), '{}') AS confirmed
         FROM container c JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
         JOIN recipe_version v ON v.cooperative_id = c.cooperative_id AND v.id = b.recipe_version_id
         JOIN recipe r ON r.cooperative_id = c.cooperative_id AND r.id = v.recipe_id
         LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
         WHERE c.cooperative_id = $1 AND c.state = 'sealed' ORDER BY c.id`,
        [this.cooperative.id],
      );
      return rows;
    });
  }

  unfit(household: string, dish: string): string[] {
    return [...(this.restrictions.get(household) ?? [])].filter((restriction) =>
      (this.declared.get(dish) ?? []).some((declared) => forbids(restriction, declared)),
    );
  }

  /** Every container that has come to a household since the last look is fit for it, or an adult of it has confirmed all that is not. */
  async check(after: string): Promise<void> {
    for (const { id, dish, holder, confirmed } of await this.boxes()) {
      const known = this.before.get(id);
      this.before.set(id, holder);
      if (holder === null || known === holder) continue;
      const missing = this.unfit(holder, dish).filter((subject) => !confirmed.includes(subject));
      expect({ after, holder, dish, missing }).toEqual({ after, holder, dish, missing: [] });
    }
  }

  /** Nothing that is held out to a household, asked of it or wished for by it goes against its diners. */
  async checkBoards(): Promise<void> {
    for (const name of names) {
      const board = await this.swappers.board(name);
      for (const { dish } of board.others) expect([name, dish, this.unfit(name, dish)]).toEqual([name, dish, []]);
      for (const { id, unfit, steps } of board.rings) {
        const gets = steps.at(-1)?.containers.flatMap(({ dish }) => this.unfit(name, dish)) ?? [];
        expect([id, [...unfit].sort()]).toEqual([id, [...new Set(gets)].sort()]);
      }
    }
  }
}

describe('what a diner must not eat', () => {
  let api: Api;
  beforeAll(async () => {
    api = await startApi({ now: new Date('2026-11-23T10:00:00Z') });
  });
  afterAll(() => api.stop());

  async function build({ restrictions, declared }: { restrictions: string[][]; declared: string[][] }): Promise<World> {
    const cooperative = await buildCooperative(api, {
      households: names.map((name, at) => ({ name, diners: [{ hard: restrictions[at] ?? [] }, {}] })),
    });
    const dishes = declared.map((allergens, at) => ({
      name: ['Stew', 'Pie', 'Soup'][at] ?? '',
      containers: [2, 2, 2, 2],
      // As a recipe keeps it: every restriction that stands against what was declared of its ingredients.
      unfitFor: subjects.filter((subject) => conflicts(subject, { allergens })),
    }));
    const round = await buildSharedRound(api, cooperative, {
      dishes,
      participants: names.map((household, at) => ({ household, weight: '2', mustNot: restrictions[at] ?? [] })),
    });
    return new World(
      api,
      cooperative,
      round,
      new Swappers(api, cooperative),
      new Map(names.map((name, at) => [name, new Set(restrictions[at])])),
      new Map(dishes.map(({ name }, at) => [name, declared[at] ?? []])),
    );
  }

  const acts = {
    async claim(world: World, one: Extract<Act, { kind: 'claim' }>) {
      const free = (await world.boxes()).filter(({ holder }) => holder === null);
      const chosen = free[one.box % Math.max(1, free.length)];
      const { client, id } = world.cooperative.household(names[one.who]!);
      const confirmWords = one.words ? 'For guests only' : null;
      if (chosen)
        await client.call('POST', `${world.cooperative.path}/containers/${chosen.id}/claim`, {
          householdId: id,
          confirmWords,
        });
    },
    async mine(world: World, one: Extract<Act, { kind: 'release' | 'eat' | 'offer' | 'hand-over' }>) {
      const name = names[one.who]!;
      const held = (await world.boxes()).filter(({ holder }) => holder === name);
      const chosen = held[one.box % Math.max(1, held.length)];
      if (!chosen) return;
      const { client, id } = world.cooperative.household(name);
      const path = `${world.cooperative.path}/containers/${chosen.id}`;
      if (one.kind === 'release') await client.call('POST', `${path}/release`, { householdId: id });
      else if (one.kind === 'eat')
        await client.call('POST', `${path}/end`, { state: 'eaten' }, { ifMatch: chosen.version });
      else if (one.kind === 'offer') await world.swappers.offer(name, chosen.id);
      else {
        const to = world.cooperative.household(names[one.box % names.length]!).id;
        await client.call('POST', `${path}/hand-over`, { toHouseholdId: to }, { ifMatch: chosen.version });
      }
    },
    async swap(world: World, one: Extract<Act, { kind: 'swap' }>) {
      const [from, to] = [names[one.who]!, names[one.other]!];
      const held = await world.boxes();
      const [give, get] = [from, to].map((name) => held.filter(({ holder }) => holder === name));
      if (from === to || !give?.length || !get?.length) return;
      const [{ client, id }, other] = [world.cooperative.household(from), world.cooperative.household(to)];
      const proposal = await client.call<{ id: string }>('POST', `${world.cooperative.path}/swaps`, {
        ...{ fromHouseholdId: id, toHouseholdId: other.id },
        ...{ giveContainerIds: [give[one.box % give.length]!.id], getContainerIds: [get[one.box % get.length]!.id] },
      });
      if (proposal.status !== 201) return;
      const answer = { answer: 'accept', confirmWords: one.words ? 'For guests only' : null };
      await other.client.call('POST', `${world.cooperative.path}/swaps/${proposal.body.id}/answer`, answer, {
        ifMatch: 1,
      });
    },
    async rings(world: World) {
      for (const id of await world.swappers.search())
        for (const name of names) {
          const { rings } = await world.swappers.board(name);
          if (rings.some((ring) => ring.id === id)) await world.swappers.answer(name, id);
        }
    },
    async learn(world: World, one: Extract<Act, { kind: 'learn' }>) {
      const [name, subject] = [names[one.who]!, subjects[one.subject]!];
      const { client, id } = world.cooperative.household(name);
      await client.ok('POST', `${world.cooperative.path}/households/${id}/diners`, {
        ...{ name: `Guest ${randomUUID().slice(0, 8)}`, ageBand: 'adult', consent: true },
        restrictions: [{ subject, strength: 'hard' }],
      });
      world.restrictions.get(name)?.add(subject);
    },
  };

  const run = (world: World, one: Act): Promise<unknown> => {
    switch (one.kind) {
      case 'claim':
        return acts.claim(world, one);
      case 'swap':
        return acts.swap(world, one);
      case 'wish':
        return world.swappers.wish(
          names[one.who]!,
          world.round.containers.find(({ dish }) => dish === ['Stew', 'Pie', 'Soup'][one.dish])!.recipeId,
        );
      case 'rings':
        return acts.rings(world);
      case 'learn':
        return acts.learn(world, one);
      default:
        return acts.mine(world, one);
    }
  };

  it('comes to its household only when an adult has confirmed it in words, whatever is done', async () => {
    await fc.assert(
      fc.asyncProperty(scenario, async (drawn) => {
        const world = await build(drawn);
        await world.check('share-out');
        for (const one of drawn.acts) {
          await run(world, one);
          await world.check(one.kind);
        }
        await world.checkBoards();
        expect(await brokenInvariants(api.database.ownerUrl)).toEqual([]);
      }),
      { numRuns: RUNS, endOnFailure: true },
    );
  });
});
