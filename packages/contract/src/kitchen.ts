import { z } from 'zod';
import { containerPlan, saveContainerPlan } from './recipes.ts';
import { id, localDate, named, rational, version } from './primitives.ts';

/** One making of one recipe; its code is the lot code. */
export const batch = z
  .object({
    id,
    lotCode: z.string(),
    recipeId: id,
    name: z.string(),
    state: z.enum(['planned', 'made', 'thrown-away']),
    plannedPortions: z.int(),
    actualPortions: z.int().nullable(),
    containerPlan: z.array(containerPlan),
    containers: z.array(z.object({ portions: z.int(), count: z.int() })),
    frozenOn: localDate.nullable(),
    bestBefore: localDate.nullable(),
    months: z.int(),
    allergens: z.array(z.string()),
    notDeclared: z.array(z.string()),
    steps: z.array(z.object({ words: z.string(), activeMinutes: z.int(), passiveMinutes: z.int() })),
    amounts: z.array(z.object({ name: z.string(), exact: rational, unit: z.string(), say: z.string() })),
    note: z.string(),
    version,
  })
  .meta({ id: 'Batch' });

/** A component (base) that several dishes of the round use, made once. */
export const baseNeed = z
  .object({
    recipeId: id,
    name: z.string(),
    exact: rational,
    unit: z.string(),
    batches: z.int(),
    usedIn: z.array(z.string()),
  })
  .meta({ id: 'BaseNeed' });

/** The cook day: where, who, the batches, and what the bases come to. */
export const kitchen = z
  .object({
    roundId: id,
    stage: z.string(),
    cookDays: z.array(
      z.object({
        id,
        date: localDate,
        startsAt: z.string(),
        kitchen: named,
        turns: z.array(z.object({ household: named, state: z.string() })),
      }),
    ),
    bases: z.array(baseNeed),
    batches: z.array(batch),
    portionsPlanned: z.int(),
    portionsMade: z.int(),
  })
  .meta({ id: 'Kitchen' });

/** What really came out of a batch, in sealed containers; nil containers: thrown away, with a note. Can be entered again until the share-out is confirmed. Errors: `round-stage`, `already-confirmed`, `invalid-input`. */
export const enterYield = z
  .object({
    frozenOn: localDate,
    containers: z.array(saveContainerPlan).max(20),
    note: z.string().trim().max(500).default(''),
  })
  .meta({ id: 'EnterYield' });
