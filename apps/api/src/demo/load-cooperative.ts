import type { z } from 'zod';
import type { household as householdSchema, invitation, me, recipe as recipeSchema } from '@frostmoot/contract';
import type { DemoAccount, Scenario, ScenarioHousehold } from './scenario.ts';
import { named, type DemoStage } from './stage.ts';

type Household = z.infer<typeof householdSchema>;
type WithId = { id: string };

/** Sets up the cooperative with its first household and coordinator, then the other households, what they cook and where they buy. */
export async function loadCooperative(stage: DemoStage, scenario: Scenario, accounts: DemoAccount[]): Promise<void> {
  const [first, ...others] = scenario.households;
  const coordinator = accounts.find((account) => account.roles.includes('coordinator'));
  if (!first || !coordinator) throw new Error('The demo scenario needs a household with a coordinator');
  const client = stage.newClient();
  const who = await client.post<z.infer<typeof me>>('/cooperatives', {
    ...scenario.cooperative,
    householdName: first.name,
    displayName: coordinator.displayName,
    email: coordinator.email,
    password: coordinator.password,
  });
  const place = who.memberships[0];
  if (!place) throw new Error('Setting up gave no membership');
  stage.cooperative = place.cooperativeId;
  stage.people.set(first.name, client);
  stage.ids.household.set(first.name, place.householdId);
  await fillHousehold(stage, first);
  for (const household of others) await addHousehold(stage, household, accounts);
  await loadKitchenBook(stage, scenario);
}

/** A further household with its diners, and whoever of it has an account. */
export async function addHousehold(
  stage: DemoStage,
  household: ScenarioHousehold,
  accounts: DemoAccount[],
): Promise<void> {
  const coordinator = coordinatorOf(stage);
  const made = await coordinator.post<WithId>(stage.path('/households'), { name: household.name });
  stage.ids.household.set(household.name, made.id);
  await fillHousehold(stage, household);
  for (const account of accounts.filter((one) => one.householdName === household.name)) {
    const { path } = await coordinator.post<z.infer<typeof invitation>>(stage.path('/invitations'), {
      householdId: made.id,
      roles: account.roles,
    });
    const link = new URL(path, 'http://localhost').searchParams;
    const client = stage.newClient();
    await client.post('/invitations/accept', {
      cooperativeId: link.get('cooperative'),
      token: link.get('token'),
      displayName: account.displayName,
      email: account.email,
      password: account.password,
    });
    stage.people.set(household.name, client);
  }
}

async function fillHousehold(stage: DemoStage, { name, freezerLitres, diners }: ScenarioHousehold): Promise<void> {
  const client = coordinatorOf(stage);
  const path = stage.path(`/households/${named(stage.ids.household, name)}`);
  const { version } = await client.get<Household>(path);
  await client.patch(path, { name, freezerLitres }, version);
  for (const diner of diners) {
    await client.post(`${path}/diners`, { ...diner, consent: diner.restrictions.length > 0 });
  }
}

async function loadKitchenBook(stage: DemoStage, scenario: Scenario): Promise<void> {
  const client = coordinatorOf(stage);
  for (const ingredient of scenario.ingredients) {
    const { id } = await client.post<WithId>(stage.path('/ingredients'), ingredient);
    stage.ids.ingredient.set(ingredient.name, id);
  }
  for (const recipe of scenario.recipes) {
    const lines = recipe.lines.map(({ ingredient, component, ...line }) => ({
      ...line,
      ingredientId: ingredient === undefined ? null : named(stage.ids.ingredient, ingredient),
      componentVersionId: component === undefined ? null : named(stage.ids.recipe, component).versionId,
    }));
    const made = await client.post<z.infer<typeof recipeSchema>>(stage.path('/recipes'), { ...recipe, lines });
    stage.ids.recipe.set(recipe.name, { id: made.id, versionId: made.current.id });
  }
  for (const seller of scenario.sellers) {
    const { id } = await client.post<WithId>(stage.path('/sellers'), seller);
    stage.ids.seller.set(seller.name, id);
  }
  const validFrom = stage.date(FIRST_DAY);
  for (const { seller, ingredient, ...offer } of scenario.offers) {
    const of = { sellerId: named(stage.ids.seller, seller), ingredientId: named(stage.ids.ingredient, ingredient) };
    await client.post(stage.path('/offers'), { ...offer, ...of, validFrom });
  }
}

/** The day on which the demo cooperative began, counted from the day of loading. */
export const FIRST_DAY = -48;

export function coordinatorOf(stage: DemoStage) {
  const [first] = stage.people.values();
  if (!first) throw new Error('Nobody is signed in yet');
  return first;
}
