import { setTimeout as delay } from 'node:timers/promises';
import type { z } from 'zod';
import type { householdCooking, job, rota } from '@frostmoot/contract';
import { coordinatorOf } from './load-cooperative.ts';
import type { Scenario } from './scenario.ts';
import { named, type DemoStage } from './stage.ts';

type Rota = z.infer<typeof rota>;
const POLL_MILLISECONDS = 50;

/** Says what the households' turns depend on, publishes a rota in which one falls ill, and leaves a draft of the weeks after it. */
export async function loadRota(stage: DemoStage, { rota: scenario }: Scenario): Promise<void> {
  const client = coordinatorOf(stage);
  for (const { household, minGapWeeks, awayDays, recipes } of scenario.households) {
    const path = stage.path(`/households/${named(stage.ids.household, household)}/cooking`);
    const { version } = await client.get<z.infer<typeof householdCooking>>(path);
    const fields = {
      minGapWeeks,
      awayWeeks: awayDays.map((day) => stage.date(day)),
      recipeIds: recipes.map((recipe) => named(stage.ids.recipe, recipe).id),
    };
    await client.put(path, fields, version);
  }
  const drafted = await workOut(stage, { ...scenario.published, from: stage.date(scenario.published.from) });
  const published = await publish(stage, drafted);
  const ill = published.turns.find(
    ({ household, cookDayId }) => household?.name === scenario.ill && cookDayId === null,
  );
  if (ill) await stage.of(scenario.ill).post(stage.path(`/rota-turns/${ill.id}/release`), {}, ill.version);
  await workOut(stage, { ...scenario.draft, from: stage.date(scenario.draft.from) });
}

async function workOut(stage: DemoStage, asked: object): Promise<Rota> {
  const client = coordinatorOf(stage);
  const { id } = await client.post<z.infer<typeof job>>(stage.path('/rota-proposals'), asked);
  for (;;) {
    const { state } = await client.get<z.infer<typeof job>>(stage.path(`/jobs/${id}`));
    if (state === 'done') return client.get<Rota>(stage.path('/rota'));
    if (state === 'failed' || state === 'stopped') throw new Error(`The demo's rota was not worked out: ${state}`);
    await delay(POLL_MILLISECONDS);
  }
}

async function publish(stage: DemoStage, { draft }: Rota): Promise<Rota> {
  const client = coordinatorOf(stage);
  const path = stage.path(`/rota-proposals/${draft?.id}`);
  let version = draft?.version ?? 0;
  if (draft && !draft.brokenAccepted) {
    const accepted = await client.post<Rota>(`${path}/limits`, {}, version);
    version = accepted.draft?.version ?? 0;
  }
  return client.post<Rota>(`${path}/publish`, {}, version);
}
