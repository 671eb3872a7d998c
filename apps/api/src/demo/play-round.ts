import type { z } from 'zod';
import type { accounts, buying, kitchen, receipt, round as roundSchema, shareOut } from '@frostmoot/contract';
import { coordinatorOf } from './load-cooperative.ts';
import type { ScenarioRound } from './scenario.ts';
import { named, type DemoStage } from './stage.ts';

type Round = z.infer<typeof roundSchema>;

/** Plays one round of the scenario through the API, each act on its day, as far as the scenario says. */
export async function playRound(stage: DemoStage, scenario: ScenarioRound): Promise<void> {
  const { days } = scenario;
  stage.goTo(Math.min(days.planUntil - 3, 0));
  const roundId = await plan(stage, scenario);
  if (scenario.until === 'planning') return;
  stage.goTo(days.planUntil);
  await moveOn(stage, roundId, 'buying');
  stage.goTo(days.buyOn);
  await buy(stage, scenario, roundId);
  await moveOn(stage, roundId, 'cooking');
  stage.goTo(days.cookOn);
  await cook(stage, scenario, roundId);
  stage.goTo(Math.min(days.shareOn, 0));
  await moveOn(stage, roundId, 'sharing');
  await share(stage, scenario, roundId);
  if (scenario.until !== 'settled') return;
  stage.goTo(days.settleOn);
  await moveOn(stage, roundId, 'settled');
  if (scenario.payments === 'all due') await payAllDue(stage);
}

async function plan(stage: DemoStage, scenario: ScenarioRound): Promise<string> {
  const client = coordinatorOf(stage);
  const household = (name: string): string => named(stage.ids.household, name);
  const dates = Object.fromEntries(Object.entries(scenario.days).map(([name, day]) => [name, stage.date(day)]));
  const { id, version } = await client.post<Round>(stage.path('/rounds'), {
    ...dates,
    dinners: scenario.dinners,
    kitchenHouseholdId: household(scenario.kitchen),
    startsAt: scenario.startsAt,
    cookHouseholdIds: scenario.cooks.map(household),
  });
  const dishes = scenario.dishes.map(({ recipe, batches }) => ({
    recipeId: named(stage.ids.recipe, recipe).id,
    batches,
  }));
  await client.put(stage.path(`/rounds/${id}/dishes`), { dishes }, version);
  return id;
}

async function moveOn(stage: DemoStage, roundId: string, to: string): Promise<void> {
  const client = coordinatorOf(stage);
  const { version } = await client.get<Round>(stage.path(`/rounds/${roundId}`));
  await client.post(stage.path(`/rounds/${roundId}/stage`), { to }, version);
}

async function buy(stage: DemoStage, scenario: ScenarioRound, roundId: string): Promise<void> {
  const client = coordinatorOf(stage);
  const { lists } = await client.get<z.infer<typeof buying>>(stage.path(`/rounds/${roundId}/buying`));
  for (const list of lists) {
    for (const line of list.lines) {
      await client.patch(stage.path(`/purchases/${line.id}`), { bought: true }, line.version ?? 1);
    }
    const goods = list.lines.map((line) => ({
      kind: 'goods',
      purchaseId: line.id,
      ingredientId: line.ingredient.id,
      label: line.label,
      packs: line.packs,
      amountMinor: line.plannedMinor,
    }));
    const fee = list.feeMinor === '0' ? [] : [{ kind: 'fee', label: 'Delivery', amountMinor: list.feeMinor }];
    const made = await client.post<z.infer<typeof receipt>>(stage.path(`/rounds/${roundId}/receipts`), {
      sellerId: list.seller.id,
      paidByHouseholdId: named(stage.ids.household, scenario.buyer[list.seller.name] ?? ''),
      boughtOn: stage.date(scenario.days.buyOn),
      lines: [...goods, ...fee],
    });
    await correctCatchWeight(stage, scenario, roundId, made);
  }
}

/** The goods weighed other than their price said: the difference becomes a line of its own, split like the first. */
async function correctCatchWeight(
  stage: DemoStage,
  scenario: ScenarioRound,
  roundId: string,
  made: z.infer<typeof receipt>,
): Promise<void> {
  const { catchWeight } = scenario;
  const line = made.lines.find(({ label }) => catchWeight && label.startsWith(catchWeight.ingredient));
  if (!catchWeight || !line) return;
  await coordinatorOf(stage).post(stage.path(`/rounds/${roundId}/receipt-corrections`), {
    kind: 'adjustment',
    lineId: line.id,
    on: stage.date(scenario.days.buyOn),
    reason: catchWeight.reason,
    differenceMinor: catchWeight.differenceMinor,
    actualQuantity: catchWeight.actualQuantity,
  });
}

async function cook(stage: DemoStage, scenario: ScenarioRound, roundId: string): Promise<void> {
  const client = coordinatorOf(stage);
  const { batches } = await client.get<z.infer<typeof kitchen>>(stage.path(`/rounds/${roundId}/kitchen`));
  for (const batch of batches) {
    const short = scenario.yields.find(({ recipe }) => recipe === batch.name);
    await client.put(
      stage.path(`/batches/${batch.id}/yield`),
      {
        frozenOn: stage.date(scenario.days.cookOn),
        containers: short?.containers ?? batch.containerPlan,
        note: short?.note ?? '',
      },
      batch.version,
    );
  }
}

async function share(stage: DemoStage, scenario: ScenarioRound, roundId: string): Promise<void> {
  const client = coordinatorOf(stage);
  const { shareOutId, version } = await client.post<z.infer<typeof shareOut>>(
    stage.path(`/rounds/${roundId}/share-out`),
  );
  const shared = await client.post<z.infer<typeof shareOut>>(
    stage.path(`/share-outs/${shareOutId}/confirm`),
    {},
    version ?? 1,
  );
  for (const { household, containers } of shared.parts) {
    if (scenario.until === 'settled' && containers.length > 0) {
      await stage.of(household.name).post(stage.path(`/rounds/${roundId}/claims`), { householdId: household.id });
      await eatFirst(stage, household.name, containers);
    }
    if (scenario.release === household.name && containers[0]) {
      const body = { householdId: household.id };
      await stage.of(household.name).post(stage.path(`/containers/${containers[0].id}/release`), body);
    }
  }
  await proposeSwap(stage, scenario, shared);
}

/** Half of a settled round's containers have been eaten since. */
async function eatFirst(stage: DemoStage, household: string, containers: { id: string }[]): Promise<void> {
  for (const { id } of containers.slice(0, Math.floor(containers.length / 2))) {
    const { items } = await stage
      .of(household)
      .get<{ items: { id: string; version: number }[] }>(stage.path('/freezer'));
    const now = items.find((item) => item.id === id);
    if (now) await stage.of(household).post(stage.path(`/containers/${id}/end`), { state: 'eaten' }, now.version);
  }
}

async function proposeSwap(
  stage: DemoStage,
  { swap }: ScenarioRound,
  { parts }: z.infer<typeof shareOut>,
): Promise<void> {
  if (!swap) return;
  const from = parts.find(({ household }) => household.name === swap.from);
  const to = parts.find(({ household }) => household.name === swap.to);
  const pairs = from?.containers.flatMap((give) => (to?.containers ?? []).map((get) => ({ give, get }))) ?? [];
  // An even exchange of two dishes, or else the first that differ.
  const pair =
    pairs.find(({ give, get }) => give.dish !== get.dish && give.portions === get.portions) ??
    pairs.find(({ give, get }) => give.dish !== get.dish);
  if (!from || !to || !pair) throw new Error('The demo scenario has no two containers to swap');
  await stage.of(swap.from).post(stage.path('/swaps'), {
    fromHouseholdId: from.household.id,
    toHouseholdId: to.household.id,
    giveContainerIds: [pair.give.id],
    getContainerIds: [pair.get.id],
    words: swap.words,
  });
}

/** A payment is recorded on its day, not before. */
const DAY_OF_PAYING = -28;

async function payAllDue(stage: DemoStage): Promise<void> {
  stage.goTo(DAY_OF_PAYING);
  const client = coordinatorOf(stage);
  const { paymentsDue } = await client.get<z.infer<typeof accounts>>(stage.path('/accounts'));
  for (const { from, to, amountMinor } of paymentsDue) {
    await client.post(stage.path('/payments'), {
      fromHouseholdId: from.id,
      toHouseholdId: to.id,
      amountMinor,
      on: stage.date(DAY_OF_PAYING),
      note: 'Settled after the round',
    });
  }
}
