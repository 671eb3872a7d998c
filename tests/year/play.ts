import type { buying, container, freezer, kitchen, round, shareOut, swap } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Api, Client } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { addIngredient, addOffer, addRecipe } from '../builders/pantry.ts';
import { dateAt, DISHES, HOUSEHOLDS, presentAt } from './scenario.ts';

export type Box = z.infer<typeof container>;
export type Shared = z.infer<typeof shareOut>;
type Round = z.infer<typeof round>;

/** Plays the rounds through the API, as the members would; it decides nothing and reckons nothing. */
export class Play {
  readonly households = new Map<string, { id: string; client: Client }>();
  private readonly recipes = new Map<string, string>();
  private seller = '';

  private constructor(
    private readonly api: Api,
    readonly cooperative: BuiltCooperative,
  ) {}

  static async begin(api: Api): Promise<Play> {
    api.config.now = presentAt(1, 0);
    const people = (adults: number, children: number, hard: readonly string[]) => [
      ...Array.from({ length: adults }, (_, index) => ({ hard: index === 0 ? [...hard] : [] })),
      ...Array.from({ length: children }, () => ({ ageBand: 'child' as const })),
    ];
    const households = HOUSEHOLDS.map(({ name, adults, children, hard }) => ({
      name,
      freezerMl: 400_000,
      diners: people(adults, children, hard),
    }));
    const play = new Play(api, await buildCooperative(api, { households }));
    for (const { name, id, client } of play.cooperative.households) play.households.set(name, { id, client });
    await play.stockPantry();
    return play;
  }

  get who(): Client {
    return this.cooperative.coordinator;
  }

  path(rest: string): string {
    return `${this.cooperative.path}${rest}`;
  }

  idOf(name: string): string {
    return this.households.get(name)?.id ?? '';
  }

  /** The household's own person, or the coordinator where it has none. */
  as(name: string): Client {
    return this.households.get(name)?.client ?? this.who;
  }

  goTo(roundNumber: number, day: number): void {
    this.api.config.now = presentAt(roundNumber, day);
  }

  private async stockPantry(): Promise<void> {
    const path = this.cooperative.path;
    const seller = await this.who.ok<{ id: string }>('POST', `${path}/sellers`, { name: 'Mill' });
    this.seller = seller.id;
    for (const { name, ingredient, sizes, batch } of DISHES) {
      const made = await addIngredient(this.who, path, { baseUnit: 'g', ...ingredient });
      await addOffer(this.who, path, {
        sellerId: seller.id,
        ingredientId: made.id,
        label: `${ingredient.name}, sack`,
        packQuantity: '3',
        packUnit: 'kg',
        priceMinor: `${1100 + 37 * name.length}`,
        validFrom: '2026-01-01',
      });
      const containerPlan = sizes.map((portions, index) => ({
        portions,
        count: batch[index] ?? 0,
        millilitres: portions * 350,
      }));
      const portions = containerPlan.reduce((sum, each) => sum + each.portions * each.count, 0);
      const recipe = await addRecipe(this.who, path, {
        name,
        makes: { quantity: '10', unit: 'kg' },
        portions,
        containerPlan,
        lines: [{ ingredientId: made.id, quantity: '8', unit: 'kg' }],
      });
      this.recipes.set(name, recipe.id);
    }
  }

  async join(name: string, adults: number, children: number): Promise<void> {
    const { id } = await this.who.ok<{ id: string }>('POST', this.path('/households'), {
      name,
      freezerLitres: '400',
      ownWeight: null,
    });
    for (let index = 0; index < adults + children; index += 1) {
      await this.who.ok('POST', this.path(`/households/${id}/diners`), {
        name: `Diner ${index + 1}`,
        ageBand: index < adults ? 'adult' : 'child',
      });
    }
    this.households.set(name, { id, client: this.who });
  }

  async takeIn(roundId: string, name: string, fromDate: string): Promise<void> {
    const body = { householdId: this.idOf(name), fromDate, weight: null, reason: 'Joined' };
    await this.who.ok('POST', this.path(`/rounds/${roundId}/participants`), body);
  }

  async startRound(number: number, dishes: readonly string[]): Promise<string> {
    const [planUntil, buyOn, cookOn, shareOn, swapUntil, settleOn] = [0, 2, 4, 5, 9, 12].map((day) =>
      dateAt(number, day),
    );
    const dates = { planUntil, buyOn, cookOn, shareOn, swapUntil, settleOn, dinners: 2 };
    const { id, version } = await this.who.ok<Round>('POST', this.path('/rounds'), dates);
    const wanted = dishes.map((name) => ({ recipeId: this.recipes.get(name), batches: 1 }));
    await this.who.ok('PUT', this.path(`/rounds/${id}/dishes`), { dishes: wanted }, { ifMatch: version });
    return id;
  }

  async moveOn(roundId: string, to: string): Promise<void> {
    const { version } = await this.who.ok<Round>('GET', this.path(`/rounds/${roundId}`));
    await this.who.ok('POST', this.path(`/rounds/${roundId}/stage`), { to }, { ifMatch: version });
  }

  /** Buys what is planned, dearer by some minor units, and gives what was paid. */
  async buy(roundId: string, number: number, payer: string, dearer: number): Promise<number> {
    const { lists } = await this.who.ok<z.infer<typeof buying>>('GET', this.path(`/rounds/${roundId}/buying`));
    const lines = lists.flatMap((list) => list.lines);
    const paid = lines.map(({ id, label, packs, plannedMinor }) => ({
      purchaseId: id,
      label,
      packs,
      amountMinor: `${Number(plannedMinor) + dearer}`,
    }));
    await this.who.ok('POST', this.path(`/rounds/${roundId}/receipts`), {
      sellerId: this.seller,
      paidByHouseholdId: this.idOf(payer),
      boughtOn: dateAt(number, 2),
      lines: paid,
    });
    return paid.reduce((sum, { amountMinor }) => sum + Number(amountMinor), 0);
  }

  /** Enters what came of each batch. `containersOf`: by the dish's name. */
  async cook(
    roundId: string,
    number: number,
    containersOf: (dish: string) => { portions: number; count: number }[],
  ): Promise<void> {
    const { batches } = await this.who.ok<z.infer<typeof kitchen>>('GET', this.path(`/rounds/${roundId}/kitchen`));
    for (const { id, name, version } of batches) {
      const body = {
        frozenOn: dateAt(number, 4),
        containers: containersOf(name).map((each) => ({ ...each, millilitres: each.portions * 350 })),
      };
      await this.who.ok('PUT', this.path(`/batches/${id}/yield`), body, { ifMatch: version });
    }
  }

  async shareOut(roundId: string): Promise<Shared> {
    const proposed = await this.who.ok<Shared>('POST', this.path(`/rounds/${roundId}/share-out`));
    return this.who.ok<Shared>('POST', this.path(`/share-outs/${proposed.shareOutId}/confirm`), undefined, {
      ifMatch: proposed.version ?? 0,
    });
  }

  async release(name: string, box: Box): Promise<void> {
    await this.as(name).ok('POST', this.path(`/containers/${box.id}/release`), { householdId: this.idOf(name) });
  }

  claim(name: string, box: Box) {
    const body = { householdId: this.idOf(name) };
    return this.as(name).call<{ code?: string }>('POST', this.path(`/containers/${box.id}/claim`), body);
  }

  async swap(from: string, to: string, give: Box, get: Box): Promise<void> {
    const { id, version } = await this.as(from).ok<z.infer<typeof swap>>('POST', this.path('/swaps'), {
      fromHouseholdId: this.idOf(from),
      toHouseholdId: this.idOf(to),
      giveContainerIds: [give.id],
      getContainerIds: [get.id],
    });
    await this.as(to).ok('POST', this.path(`/swaps/${id}/answer`), { answer: 'accept' }, { ifMatch: version });
  }

  freezer(name: string): Promise<z.infer<typeof freezer>> {
    return this.as(name).ok('GET', this.path(`/freezer?householdId=${this.idOf(name)}`));
  }

  async end(client: Client, box: Pick<Box, 'id' | 'version'>, body: object): Promise<void> {
    await client.ok('POST', this.path(`/containers/${box.id}/end`), body, { ifMatch: box.version });
  }
}
