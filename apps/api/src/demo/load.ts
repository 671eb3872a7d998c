import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { Config } from '../platform/config/config.ts';
import { Database } from '../platform/db/prisma.ts';
import { enter } from '../platform/db/scope.ts';
import { addHousehold, coordinatorOf, FIRST_DAY, loadCooperative } from './load-cooperative.ts';
import { loadRota } from './load-rota.ts';
import { playRound } from './play-round.ts';
import { readScenario, type DemoAccount, type Scenario, type ScenarioRound } from './scenario.ts';
import { DemoStage, named } from './stage.ts';

/**
 * Fills the made-up cooperative through the API itself, each act on its day: `config` must be the one that `app` was made with, since its `now` is
 * moved. The installation says that it is loaded only at the very end.
 */
export async function loadDemo(app: NestFastifyApplication, config: Config): Promise<void> {
  const { scenario, accounts } = await readScenario(config.demoDir);
  const present = config.now;
  const stage = new DemoStage(app, config, scenario.cooperative.timeZone);
  stage.goTo(FIRST_DAY);
  await loadCooperative(stage, scenario, accounts);
  await markAsDemo(app, stage.cooperative);
  for (const round of scenario.rounds) {
    await playRound(stage, round);
    if (round.joins) await joinLate(stage, scenario, round.joins, accounts);
  }
  await loadRota(stage, scenario);
  config.now = present;
  await app.get(Database).client.$executeRaw`UPDATE installation SET demo_loaded_at = now()`;
}

async function joinLate(
  stage: DemoStage,
  scenario: Scenario,
  { household, reason }: NonNullable<ScenarioRound['joins']>,
  accounts: DemoAccount[],
): Promise<void> {
  stage.goTo(0);
  await addHousehold(stage, scenario.lateHousehold, accounts);
  const { items } = await coordinatorOf(stage).get<{ items: { id: string; stage: string }[] }>(stage.path('/rounds'));
  const planned = items.find((item) => item.stage === 'planning');
  await coordinatorOf(stage).post(stage.path(`/rounds/${planned?.id}/participants`), {
    householdId: named(stage.ids.household, household),
    fromDate: stage.date(0),
    reason,
  });
}

/** Setting up a cooperative switches the demo off; this one is the demo. */
async function markAsDemo(app: NestFastifyApplication, cooperativeId: string): Promise<void> {
  await app.get(Database).client.$transaction(async (tx) => {
    await enter(tx, { cooperativeId, personId: cooperativeId });
    await tx.cooperative.update({ where: { id: cooperativeId }, data: { isDemo: true } });
    await tx.$executeRaw`UPDATE installation SET real_cooperative_at = NULL`;
  });
}
