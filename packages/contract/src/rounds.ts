import { z } from 'zod';
import { containerPlan } from './recipes.ts';
import { id, instant, localDate, minor, named, rational, rationalAtLeastNil, version } from './primitives.ts';

export const stages = ['planning', 'buying', 'cooking', 'sharing', 'settled'] as const;
/** Where a round is; it only moves forward, by a named act. */
export const stage = z.enum(stages);
export type Stage = z.infer<typeof stage>;

/** Dates of a round, each the last day of its step, in order. */
const roundDates = z.object({
  planUntil: localDate,
  buyOn: localDate,
  cookOn: localDate,
  shareOn: localDate,
  swapUntil: localDate,
  settleOn: localDate,
});

/** Starts a round for every household of the cooperative with its weight and exclusions as they are today. Errors: `invalid-input` when dates are out of order. */
export const createRound = roundDates
  .extend({
    dinners: z.int().min(1).max(60),
    kitchenHouseholdId: id.nullable().default(null),
    startsAt: z
      .string()
      .regex(/^([01]\d|2[0-3]):[0-5]\d$/)
      .default('09:00'),
    cookHouseholdIds: z.array(id).max(10).default([]),
  })
  .meta({ id: 'CreateRound' });

export const roundSummary = roundDates
  .extend({
    id,
    number: z.int(),
    stage,
    dinners: z.int(),
    settledAt: instant.nullable(),
    portionsPlanned: z.int(),
    portionsMade: z.int().nullable(),
    version,
  })
  .meta({ id: 'RoundSummary' });
export const roundList = z.object({ items: z.array(roundSummary) }).meta({ id: 'RoundList' });

/** A household in the round with its weight as it was. `earlier` are weights that held before a later change in the same round. */
export const participant = z
  .object({
    household: named,
    weight: rational,
    diners: z.int(),
    fromDate: localDate,
    reason: z.string(),
    portionsWanted: rational,
    earlier: z.array(z.object({ fromDate: localDate, weight: rational })),
  })
  .meta({ id: 'Participant' });

/** A dish of the round. Cost is null until every ingredient has an offer. `unfitForHouseholds` may be null for readers who need not know. */
export const roundDish = z
  .object({
    id,
    recipeId: id,
    recipeVersionId: id,
    name: z.string(),
    batches: z.int(),
    portionsPerBatch: z.int(),
    portions: z.int(),
    containerPlan: z.array(containerPlan),
    allergens: z.array(z.string()),
    costMinor: minor.nullable(),
    costPerPortionMinor: rational.nullable(),
  })
  .meta({ id: 'RoundDish' });

/** Something that does not add up, as a code with its numbers; the screen has the words and, with `remedy`, the button. */
export const openPoint = z
  .object({
    code: z.enum([
      'no-dish',
      'portions-short',
      'no-offer',
      'freezer-short',
      'nothing-fit',
      'no-kitchen',
      'yield-missing',
      'no-receipt',
      'share-out-missing',
      'swap-open',
      'pool-left',
    ]),
    blocks: z.boolean(),
    facts: z.record(z.string(), z.union([z.string(), z.number()])),
    remedy: z
      .object({
        kind: z.enum([
          'add-batch',
          'enter-yield',
          'enter-receipt',
          'confirm-share-out',
          'answer-swap',
          'add-offer',
          'set-kitchen',
        ]),
        facts: z.record(z.string(), z.union([z.string(), z.number()])),
      })
      .nullable(),
  })
  .meta({ id: 'OpenPoint' });

/** One round from plan to accounts: the four figures, what does not add up, dishes, who eats. */
export const round = roundSummary
  .extend({
    headcount: z.int(),
    totalWeight: rational,
    portionsWanted: rational,
    costMinor: minor.nullable(),
    costPerPortionMinor: rational.nullable(),
    spentMinor: minor,
    freezerNeededMl: z.int(),
    freezerFreeMl: z.int(),
    dishes: z.array(roundDish),
    participants: z.array(participant),
    cookDays: z.array(
      z.object({
        id,
        date: localDate,
        startsAt: z.string(),
        kitchen: named,
        turns: z.array(z.object({ household: named, state: z.string() })),
      }),
    ),
    openPoints: z.array(openPoint),
    /** the stage the round can move to now, when nothing that blocks is open */
    next: stage.nullable(),
  })
  .meta({ id: 'Round' });

/** All dishes of the round with their batches; leaves out what is not named. Only while planning. Errors: `round-stage`, `invalid-input`. */
export const saveDishes = z
  .object({ dishes: z.array(z.object({ recipeId: id, batches: z.int().min(1).max(50) })).max(40) })
  .meta({ id: 'SaveDishes' });

/** Moves the round to its next stage. `to` must be the next one. Errors: `round-stage`, `round-not-ready` with what is open. */
export const moveRound = z.object({ to: stage }).meta({ id: 'MoveRound' });

/** A household joins, leaves or changes its weight from a date on; what was split or shared before stays. Errors: `round-stage` once shared out. */
export const changeParticipant = z
  .object({
    householdId: id,
    fromDate: localDate,
    weight: z.string().max(30).nullable().default(null),
    reason: z.string().trim().min(1).max(200),
  })
  .meta({ id: 'ChangeParticipant' });

/** Cook day as typed. */
export const saveCookDay = z
  .object({
    date: localDate,
    startsAt: z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/),
    kitchenHouseholdId: id,
    householdIds: z.array(id).min(1).max(10),
  })
  .meta({ id: 'SaveCookDay' });

/**
 * Asks for dishes and batches, from headcount alone or from what is at hand and should be used up; nothing is changed. `variety`: different dishes that each household should
 * get; `portionsAtMost`: null for half as many again as are wanted; `batchesAtMost`: what the kitchen can do, a pot for each; `minutesAtMost`: hands-on minutes of everybody who cooks together; `keep`: whether what is planned already stays.
 */
export const proposeDishes = z
  .object({
    atHand: z
      .array(
        z.object({
          ingredientId: id,
          packs: z.int().min(1).max(1000),
          packQuantity: rationalAtLeastNil,
          packUnit: z.string().min(1).max(30),
        }),
      )
      .max(3)
      .default([]),
    variety: z.int().min(1).max(20).default(3),
    portionsAtMost: z.int().min(1).max(100_000).nullable().default(null),
    batchesAtMost: z.int().min(1).max(200).nullable().default(null),
    minutesAtMost: z.int().min(1).max(100_000).nullable().default(null),
    keep: z.boolean().default(true),
  })
  .meta({ id: 'ProposeDishes' });

/** One batch more of a dish that takes something that is left over, and what stands against it; `over` in minutes, batches, millilitres or portions. */
const nextUse = z.object({
  recipe: named,
  takes: rational,
  missing: rational,
  obstacles: z.array(
    z.object({
      limit: z.enum(['at-hand', 'minutes', 'pots', 'freezer', 'dishes', 'beyond', 'at-most']),
      over: rational,
    }),
  ),
});

/** The answer of a job of the kind `dish-proposal`: dishes and batches that are proposed. Whoever may not know what others must not eat is not told for whom there is little. */
export const dishProposal = z
  .object({
    /** optimal: nothing better; bounded, constructive: found in time, not shown to be the best */
    proof: z.enum(['optimal', 'bounded', 'constructive']),
    dishes: z.array(
      z.object({
        recipeId: id,
        name: z.string(),
        batches: z.int(),
        portionsPerBatch: z.int(),
        portions: z.int(),
        allergens: z.array(z.string()),
      }),
    ),
    portions: rational,
    wanted: rational,
    short: rational,
    unwilling: rational,
    beyond: rational,
    /** what is at hand, in the ingredient's base unit; `packsLeft` were not opened, `opened` remains of one that was */
    atHand: z.array(
      z.object({
        ingredient: named,
        unit: z.string(),
        quantity: rational,
        packs: z.int(),
        packsUsed: z.int(),
        packsLeft: z.int(),
        opened: rational,
        left: rational,
        next: z.array(nextUse),
      }),
    ),
    varietyWanted: z.int(),
    /** different dishes that households go without, in all */
    varietyShort: z.int(),
    fewerDishes: z.array(
      z.object({ household: named, planned: z.int(), reason: z.enum(['may-eat-few', 'not-planned']) }),
    ),
    shortHouseholds: z.array(z.object({ household: named, wanted: rational, planned: rational })),
    freezerNeededMl: z.int(),
    freezerFreeMl: z.int().nullable(),
    /** goods and fees of the round with these dishes; null: something has no price */
    costMinor: minor.nullable(),
    costPerPortionMinor: rational.nullable(),
  })
  .meta({ id: 'DishProposal' });
export type DishProposal = z.infer<typeof dishProposal>;
