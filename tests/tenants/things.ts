import { randomUUID } from 'node:crypto';
import { addRecipe, startRound, stockPantry } from '../builders/pantry.ts';
import { proposeRota } from '../builders/rota.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { buildSharingRound, type BuiltContainer } from '../builders/sharing-round.ts';
import type { Ids } from './operations.ts';
import { idle, type Place } from './state-table.ts';

/** A round that goes through its stages: what a stage needs before the next is done when it is first asked for. */
export async function aRound(place: Place): Promise<(state: string) => Promise<Ids>> {
  const { db, cooperative } = place;
  const { coordinator, path } = cooperative;
  const [alder, birch] = cooperative.households.map(({ id }) => id);
  const pantry = await stockPantry(cooperative);
  const soup = await addRecipe(coordinator, path, {
    name: 'Soup',
    makes: { quantity: '10', unit: 'L' },
    portions: 24,
    containerPlan: [{ portions: 4, count: 6 }],
    lines: [{ ingredientId: pantry.ingredients['Onions']?.id, quantity: '1', unit: 'kg' }],
    steps: [{ words: 'Chop', activeMinutes: 10, passiveMinutes: 0 }],
  });
  const { id } = await startRound(
    cooperative,
    { ...pantry, recipes: { Soup: soup } },
    { kitchenHouseholdId: alder, cookHouseholdIds: [alder, birch] },
  );
  const seller = pantry.sellers['Mill']?.id ?? '';
  const found: Ids = { round: id, household: alder ?? '', otherHousehold: birch ?? '', recipe: soup.id, seller };
  // Until there is one, any will do.
  for (const name of ['purchase', 'receiptLine', 'batch', 'shareOut', 'container']) found[name] = randomUUID();
  const step = `${soup.current.id}.1.0`;
  const seen = new Set<string>();
  const freeOne = async (): Promise<void> => {
    const { rows } = await db.query<{ id: string }>(
      `SELECT id FROM container WHERE cooperative_id = $1 AND holder_household_id = $2 AND state = 'sealed' ORDER BY id LIMIT 1`,
      [cooperative.id, alder],
    );
    await coordinator.ok('POST', `${path}/containers/${rows[0]?.id}/release`, { householdId: alder });
  };
  return async (state) => {
    await idle(place);
    if (!seen.has(state) && ['shared-out', 'settled'].includes(state)) await freeOne();
    seen.add(state);
    for (const [name, table, order] of [
      ['cookDay', 'cook_day', 'id'],
      ['purchase', 'purchase', 'id'],
      ['receiptLine', 'receipt_line', 'id'],
      ['batch', 'batch', 'id'],
      ['shareOut', 'share_out', `state = 'superseded', id`],
      ['container', 'container', 'holder_household_id, id'],
    ]) {
      const { rows } = await db.query<{ id: string }>(
        `SELECT id FROM ${table} WHERE cooperative_id = $1 ORDER BY ${order} LIMIT 1`,
        [cooperative.id],
      );
      if (rows[0]) found[name ?? ''] = rows[0].id;
    }
    return { ...found, step };
  };
}

/** Containers of two rounds of Birch and Cedar, one shared out and one not; each is given once. */
export class Containers {
  private constructor(
    private readonly place: Place,
    private readonly left: { Birch: BuiltContainer[]; Cedar: BuiltContainer[]; unshared: BuiltContainer[] },
    private readonly ids: Ids,
  ) {}

  static async of(place: Place, count: number): Promise<Containers> {
    const { api, cooperative } = place;
    const dishes = [
      { name: 'Stew', containers: Array.from({ length: count }, () => 1) },
      { name: 'Pie', containers: [1, 1, 1, 1] },
    ];
    const participants = ['Birch', 'Cedar'].map((household) => ({ household, weight: '2' }));
    const shared = await buildSharedRound(api, cooperative, { number: 1, dishes, participants });
    const unshared = await buildSharingRound(api, cooperative, { number: 2, dishes, participants });
    const [, birch, cedar] = cooperative.households.map(({ id }) => id);
    const stews = (containers: BuiltContainer[]) => containers.filter(({ dish }) => dish === 'Stew');
    return new Containers(
      place,
      {
        ...{ Birch: stews(shared.of('Birch')), Cedar: stews(shared.of('Cedar')) },
        unshared: stews(unshared.containers),
      },
      {
        ...{ household: birch ?? '', otherHousehold: cedar ?? '', shareOut: shared.view.shareOutId ?? '' },
        ...{ round: shared.id, unsharedRound: unshared.id, batch: shared.batches['Stew'] ?? '' },
        ...{ recipe: shared.containers[0]?.recipeId ?? '', otherRecipe: shared.containers.at(-1)?.recipeId ?? '' },
        ...{ pies: shared.batches['Pie'] ?? '' },
        ...{ pie: shared.of('Birch').find(({ dish }) => dish === 'Pie')?.id ?? '' },
      },
    );
  }

  /** What Birch has of a dish that is called back. */
  private async recalled(): Promise<string> {
    if (!this.isRecalled) {
      this.isRecalled = true;
      const body = { source: 'batch', sourceId: this.ids['pies'], drill: false };
      await this.place.cooperative.coordinator.ok('POST', `${this.place.cooperative.path}/recalls`, body);
    }
    return this.ids['pie'] ?? '';
  }
  private isRecalled = false;

  next(of: 'Birch' | 'Cedar' | 'unshared'): string {
    const container = this.left[of].pop();
    if (!container) throw new Error(`There is no container left of ${of}`);
    return container.id;
  }

  act<T>(container: string, act: string, body: object = {}): Promise<T> {
    const all = { householdId: this.ids['household'], ...body };
    return this.place.cooperative.coordinator.ok<T>(
      'POST',
      `${this.place.cooperative.path}/containers/${container}/${act}`,
      all,
    );
  }

  /** Birch gives a container and gets one of Cedar's. */
  async swap(): Promise<Ids> {
    const [container, otherContainer] = [this.next('Birch'), this.next('Cedar')];
    const { id } = await this.place.cooperative.coordinator.ok<{ id: string }>(
      'POST',
      `${this.place.cooperative.path}/swaps`,
      {
        fromHouseholdId: this.ids['household'],
        toHouseholdId: this.ids['otherHousehold'],
        giveContainerIds: [container],
        getContainerIds: [otherContainer],
      },
    );
    return { ...this.ids, container, otherContainer, swap: id };
  }

  /** The same as a ring of the two, which nobody has answered. */
  async ring(): Promise<Ids> {
    const { id: cooperativeId, households } = this.place.cooperative;
    const [container, otherContainer, id] = [this.next('Birch'), this.next('Cedar'), randomUUID()];
    const [birch, cedar, person] = [this.ids['household'], this.ids['otherHousehold'], households[0]?.personId];
    await this.place.db.query(
      `INSERT INTO swap_ring (cooperative_id, id, open_until, created_by) VALUES ($1, $2, '2027-01-01T10:00Z', $3)`,
      [cooperativeId, id, person],
    );
    await this.place.db.query(
      `INSERT INTO swap_ring_member (cooperative_id, ring_id, household_id, position) VALUES ($1, $2, $3, 0), ($1, $2, $4, 1)`,
      [cooperativeId, id, birch, cedar],
    );
    for (const [part, giver, receiver] of [
      [container, birch, cedar],
      [otherContainer, cedar, birch],
    ]) {
      const wish = randomUUID();
      await this.place.db.query(
        `INSERT INTO swap_wish (cooperative_id, id, household_id, recipe_id, containers, score, ended_at, created_by) VALUES ($1, $2, $3, $4, 1, 1, now(), $5)`,
        [cooperativeId, wish, receiver, this.ids['recipe'], person],
      );
      await this.place.db.query(
        `INSERT INTO swap_ring_part (cooperative_id, ring_id, container_id, giver_household_id, receiver_household_id, wish_id) VALUES ($1, $2, $3, $4, $5, $6)`,
        [cooperativeId, id, part, giver, receiver, wish],
      );
    }
    return { ...this.ids, container, otherContainer, swapRing: id };
  }

  /** One container of Birch's in a state; `unshared` and `pool`: nobody's. */
  async in(state: string): Promise<Ids> {
    const all = { ...this.ids, otherContainer: this.left.Cedar[0]?.id ?? '' };
    if (state === 'unshared')
      return { ...all, round: this.ids['unsharedRound'] ?? '', container: this.next('unshared') };
    if (state === 'offered') return this.swap();
    if (state === 'recalled') return { ...all, container: await this.recalled() };
    const container = this.next('Birch');
    const ids: Ids = { ...all, container };
    if (state === 'pool') await this.act(container, 'release');
    if (['claimed', 'collected'].includes(state)) await this.act(container, 'claim');
    if (state === 'collected') await this.act(container, 'hand-over', { toHouseholdId: ids['household'] });
    if (state === 'eaten') {
      await this.place.db.query(
        `UPDATE container SET state = 'eaten', ended_at = '2026-11-28T09:00Z' WHERE cooperative_id = $1 AND id = $2`,
        [this.place.cooperative.id, container],
      );
    }
    return ids;
  }
}

/**
 * Turns of Birch's and Cedar's in weeks of their own, of a rota that is published. Gives the first pair that both still have as it was published.
 */
export async function turnsOf({ db, cooperative }: Place, pairs: number): Promise<() => Promise<Ids>> {
  const { coordinator, path, id: cooperativeId } = cooperative;
  const [household = '', otherHousehold = ''] = ['Birch', 'Cedar'].map((name) => cooperative.household(name).id);
  const { draft } = await proposeRota(cooperative, { from: '2026-11-30', weeks: 2 * pairs, team: 1 });
  const at = `${path}/rota-proposals/${draft?.id}`;
  const turns = (draft?.weeks ?? []).map(({ weekOf }, week) => ({
    weekOf,
    householdId: week % 2 === 0 ? household : otherHousehold,
  }));
  for (const [method, to, body] of [
    ['PUT', '/turns', { turns }],
    ['POST', '/limits', undefined],
    ['POST', '/publish', undefined],
  ] as const) {
    const { draft: now } = await coordinator.ok<Awaited<ReturnType<typeof proposeRota>>>('GET', `${path}/rota`);
    await coordinator.ok(method, at + to, body, { ifMatch: now?.version ?? 0 });
  }
  return async () => {
    const { rows } = await db.query<{ turn: string; other: string }>(
      `SELECT b.id AS turn, c.id AS other FROM rota_turn b
         JOIN rota_turn c ON c.cooperative_id = b.cooperative_id AND c.week_of = b.week_of + 7
         WHERE b.cooperative_id = $1 AND b.household_id = $2 AND c.household_id = $3 AND b.version = 1 AND c.version = 1 ORDER BY b.week_of`,
      [cooperativeId, household, otherHousehold],
    );
    const [pair] = rows;
    if (!pair) throw new Error('There is no pair of turns left');
    return { household, otherHousehold, turn: pair.turn, otherTurn: pair.other };
  };
}
