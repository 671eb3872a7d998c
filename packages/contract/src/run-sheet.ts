import { z } from 'zod';
import { recipeStep } from './recipes.ts';
import { id, instant, localDate, named, rational, rationalAtLeastNil, version } from './primitives.ts';

/** What a household's kitchen has; `hobs`, `ovens` and `benchPeople` null: not said yet. No pots: pots are not looked at. */
export const householdKitchen = z
  .object({
    householdId: id,
    hobs: z.int().nullable(),
    ovens: z.int().nullable(),
    potsLitres: z.array(rational),
    benchPeople: z.int().nullable(),
    version,
  })
  .meta({ id: 'HouseholdKitchen' });
/** The same as typed; the version is the household's. Error: `invalid-input`. */
export const saveHouseholdKitchen = z
  .object({
    hobs: z.int().min(0).max(30).nullable(),
    ovens: z.int().min(0).max(30).nullable(),
    potsLitres: z.array(rationalAtLeastNil.regex(/^[^/]*[1-9]/, 'A pot holds more than nil')).max(40),
    benchPeople: z.int().min(1).max(30).nullable(),
  })
  .meta({ id: 'SaveHouseholdKitchen' });

/** A step's key: the recipe version, the number of its making on the day, the step's place in the recipe. */
const stepKey = z
  .string()
  .regex(/^[0-9a-f-]{36}\.\d{1,3}\.\d{1,2}$/)
  .meta({ description: 'the making and the place of the step in its recipe' });

/** One step of the day with its minutes from the start, and who and what it takes by number from 1. */
export const runSheetStep = z
  .object({
    key: stepKey,
    making: z.string(),
    number: z.int(),
    words: z.string(),
    place: recipeStep.shape.place,
    active: z.int(),
    passive: z.int(),
    start: z.int(),
    handsOff: z.int(),
    end: z.int(),
    people: z.array(z.int()),
    hobs: z.array(z.int()),
    ovens: z.array(z.int()),
    potLitres: rational.nullable(),
    pot: z.string().nullable(),
    after: z.array(stepKey),
  })
  .meta({ id: 'RunSheetStep' });

/** What is made on the day: a batch, or a base for other dishes. */
export const making = z
  .object({
    key: z.string(),
    batchId: id.nullable(),
    lotCode: z.string().nullable(),
    name: z.string(),
    steps: z.int(),
    amounts: z.array(z.object({ name: z.string(), exact: rational, unit: z.string(), say: z.string() })),
  })
  .meta({ id: 'Making' });

/** What the kitchen lacks for a step, and what is planned instead: without it, or with the largest that there is. */
export const kitchenLack = z
  .object({
    code: z.enum(['no-oven', 'no-hob', 'pot-too-small', 'too-few-hands']),
    making: z.string(),
    step: stepKey,
    needed: rational,
    there: rational,
  })
  .meta({ id: 'KitchenLack' });

/**
 * The run sheet of a cook day. `sheet` null: not worked out yet; `isCurrent` false: a batch, the team or the kitchen has changed since. Minutes count from `startsAt`.
 * `proof` optimal: no day is shorter; bounded: none is shorter than `atLeast`. `done`: steps that count as done, with when.
 */
export const runSheet = z
  .object({
    cookDayId: id,
    roundId: id,
    date: localDate,
    startsAt: instant,
    kitchen: z.object({
      household: named,
      hobs: z.int(),
      ovens: z.int(),
      potsLitres: z.array(rational),
      isSaid: z.boolean(),
    }),
    people: z.array(z.object({ number: z.int(), household: named.nullable(), place: z.int() })),
    peopleChosen: z.int().nullable(),
    makings: z.array(making),
    lacks: z.array(kitchenLack),
    sheet: z
      .object({
        id,
        createdAt: instant,
        isCurrent: z.boolean(),
        proof: z.enum(['optimal', 'bounded']),
        minutes: z.int(),
        atLeast: z.int(),
        steps: z.array(runSheetStep),
        leads: z.array(
          z.object({ key: stepKey, making: z.string(), kilograms: rational, start: z.int(), end: z.int() }),
        ),
      })
      .nullable(),
    done: z.array(z.object({ key: stepKey, at: instant, household: named })),
  })
  .meta({ id: 'RunSheet' });

/** Works the run sheet out, from now on with so many people; left out: as many as before, null: one for each turn. Errors: `round-stage`, `invalid-input`. */
export const workOutRunSheet = z
  .object({ people: z.int().min(1).max(30).nullable().optional() })
  .meta({ id: 'WorkOutRunSheet' });

/** A step done or taken back at its own time, since a device may have been offline. Errors: `round-stage`, `invalid-input`, `not-found`. */
export const enterStepDone = z
  .object({ step: stepKey, act: z.enum(['done', 'taken-back']), at: instant })
  .meta({ id: 'EnterStepDone' });
