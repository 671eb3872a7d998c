import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';

const plan = z.array(z.object({ portions: z.int(), count: z.int(), millilitres: z.int() }));
const household = z.object({
  name: z.string(),
  freezerLitres: z.string(),
  diners: z.array(
    z.object({
      name: z.string(),
      ageBand: z.enum(['adult', 'child']),
      restrictions: z.array(z.object({ subject: z.string(), strength: z.enum(['hard', 'wish']) })).default([]),
    }),
  ),
});
const recipe = z.looseObject({
  name: z.string(),
  lines: z.array(z.looseObject({ ingredient: z.string().optional(), component: z.string().optional() })),
});
const round = z.object({
  until: z.enum(['planning', 'sharing', 'settled']),
  dinners: z.int(),
  /** days from the day of loading */
  days: z.record(z.enum(['planUntil', 'buyOn', 'cookOn', 'shareOn', 'swapUntil', 'settleOn']), z.int()),
  kitchen: z.string(),
  startsAt: z.string(),
  cooks: z.array(z.string()),
  dishes: z.array(z.object({ recipe: z.string(), batches: z.int() })),
  /** which household pays at which seller */
  buyer: z.record(z.string(), z.string()).default({}),
  catchWeight: z
    .object({ ingredient: z.string(), actualQuantity: z.string(), differenceMinor: z.string(), reason: z.string() })
    .optional(),
  /** only what came out otherwise than planned */
  yields: z.array(z.object({ recipe: z.string(), containers: plan, note: z.string() })).default([]),
  payments: z.literal('all due').optional(),
  release: z.string().optional(),
  swap: z.object({ from: z.string(), to: z.string(), words: z.string() }).optional(),
  joins: z.object({ household: z.string(), reason: z.string() }).optional(),
});

const filled = z.object({ from: z.int(), weeks: z.int(), team: z.int() });
const rota = z.object({
  households: z.array(
    z.object({
      household: z.string(),
      minGapWeeks: z.int(),
      /** days from the day of loading, each for its week */
      awayDays: z.array(z.int()),
      recipes: z.array(z.string()),
    }),
  ),
  published: filled,
  /** who gives its first turn up that no round has yet */
  ill: z.string(),
  draft: filled,
});

/** The made-up cooperative as written in shared/demo/scenario.json; names stand for ids. */
const scenario = z.object({
  cooperative: z.looseObject({ name: z.string(), timeZone: z.string() }),
  households: z.array(household),
  lateHousehold: household,
  ingredients: z.array(z.looseObject({ name: z.string() })),
  recipes: z.array(recipe),
  sellers: z.array(z.looseObject({ name: z.string() })),
  offers: z.array(z.looseObject({ seller: z.string(), ingredient: z.string() })),
  rounds: z.array(round),
  rota,
});
export type Scenario = z.infer<typeof scenario>;
export type ScenarioHousehold = z.infer<typeof household>;
export type ScenarioRound = z.infer<typeof round>;

const account = z.object({
  email: z.string(),
  password: z.string(),
  displayName: z.string(),
  householdName: z.string(),
  roles: z.array(z.string()),
});
export type DemoAccount = z.infer<typeof account>;

export async function readScenario(demoDir: string): Promise<{ scenario: Scenario; accounts: DemoAccount[] }> {
  const read = async (name: string): Promise<unknown> => JSON.parse(await readFile(join(demoDir, name), 'utf8'));
  return {
    scenario: scenario.parse(await read('scenario.json')),
    accounts: z.array(account).parse(await read('accounts.json')),
  };
}
