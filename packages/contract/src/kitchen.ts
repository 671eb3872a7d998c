import { z } from 'zod';
import { containerPlan, recipeStep, saveContainerPlan } from './recipes.ts';
import { id, instant, localDate, named, rational, version } from './primitives.ts';

/** The limits by which a batch is cooled: cooked food, or food made from ingredients at room temperature. */
const coolingRule = z.enum(['cooked', 'from-room-temperature']);
const coolingVerdict = z.enum(['within', 'due', 'failed']);

/** The cooling log of a batch, judged at the time of the answer. Rule: FDA Food Code 2022, 3-501.14; a device that is offline judges it again by itself. */
export const coolingLog = z
  .object({
    rule: coolingRule,
    startedAt: instant,
    /** in order of time; one that was replaced (`replacedBy`) is shown and counts for nothing */
    readings: z.array(
      z.object({
        id,
        measuredAt: instant,
        celsius: rational,
        household: named,
        replaces: id.nullable(),
        replacedBy: id.nullable(),
        reason: z.string(),
      }),
    ),
    verdict: coolingVerdict,
    stages: z.array(
      z.object({
        limitCelsius: rational,
        by: instant,
        reachedBetween: z.array(instant).length(2).nullable(),
        verdict: coolingVerdict,
      }),
    ),
    next: z.object({
      code: z.enum(['measure', 'cool-faster', 'keep-cold', 'throw-away']),
      by: instant.nullable(),
    }),
  })
  .meta({ id: 'CoolingLog' });

/** A claim of a household on a container before the share-out. */
const claimed = z.object({ household: named, code: z.string(), portions: z.int() });

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
    earlyClaims: z.array(claimed),
    frozenOn: localDate.nullable(),
    bestBefore: localDate.nullable(),
    months: z.int(),
    allergens: z.array(z.string()),
    notDeclared: z.array(z.string()),
    steps: z.array(recipeStep),
    amounts: z.array(z.object({ name: z.string(), exact: rational, unit: z.string(), say: z.string() })),
    note: z.string(),
    cooling: coolingLog.nullable(),
    version,
  })
  .meta({ id: 'Batch' });

/** The batch as it is counted now, and which claims before the share-out could not be kept; their households have been told. */
export const yieldEntered = batch.extend({ claimsLost: z.array(claimed) }).meta({ id: 'YieldEntered' });

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

/** What really came out of a batch, in sealed containers; nil containers: thrown away, with a note. Can be entered again until the share-out is confirmed; claims made before it go on with containers of the same size, as far as there are any. Errors: `round-stage`, `already-confirmed`, `invalid-input`. */
export const enterYield = z
  .object({
    frozenOn: localDate,
    containers: z.array(saveContainerPlan).max(20),
    note: z.string().trim().max(500).default(''),
  })
  .meta({ id: 'EnterYield' });

/**
 * A core temperature of a cooling batch, with when it was measured and when its clock was started (at 57 °C, or when the food was made). Of several starts the
 * earliest counts. Readings stay; `replaces` names a mistyped one of the same batch that this one takes the place of, with the reason. Errors: `round-stage`,
 * `conflict` when it was replaced already, `invalid-input`.
 */
export const enterReading = z
  .object({
    rule: coolingRule,
    startedAt: instant,
    measuredAt: instant,
    celsius: z
      .string()
      .regex(/^(-[1-5]?\d|1?\d{1,2})(\.\d{1,2})?$/)
      .meta({ description: 'degrees Celsius as a decimal, above -60 and below 200', example: '21.5' }),
    replaces: id.nullable().default(null),
    reason: z.string().trim().max(300).default(''),
  })
  .meta({ id: 'EnterReading' });
