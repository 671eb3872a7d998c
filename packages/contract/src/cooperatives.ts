import { z } from 'zod';
import { id, localDate, named, rational, rationalAtLeastNil, shortText, version } from './primitives.ts';
import { role } from './identity.ts';

/** How a household's headcount weight comes about: an adult 1 and a child `childWeight`; energy need; or own numbers. */
export const weightScale = z.enum(['per-head', 'energy', 'own']);

/** When containers may be claimed: before the share-out, which then keeps to it; after it, from the pool; or not at all. */
export const claimPolicy = z.enum(['before', 'after', 'none']);

/** The tenant: its money, zone, language and policies. `currencyDigits` from ISO 4217. */
export const cooperative = z
  .object({
    id,
    name: z.string(),
    currency: z.string(),
    currencyDigits: z.int(),
    timeZone: z.string(),
    locale: z.string(),
    unitSystem: z.string(),
    isDemo: z.boolean(),
    weightScale,
    childWeight: rational,
    claimAheadPortions: z.int(),
    /** the longest ring of swaps in households; null: of any length */
    swapRingLimit: z.union([z.literal(2), z.literal(3)]).nullable(),
    /** how many portions a household may give more, or fewer, than it gets in a ring */
    swapCreditPortions: z.int(),
    claimPolicy,
    /** how long a container is kept for the first who waits for its dish */
    waitingHours: z.int(),
    today: localDate,
    version,
  })
  .meta({ id: 'Cooperative' });

/** Policies that the coordinator changes. Time zone must be an IANA name. */
export const changeCooperative = z
  .object({
    name: shortText.optional(),
    timeZone: z.string().min(1).max(60).optional(),
    unitSystem: z.enum(['metric', 'us', 'imperial']).optional(),
    weightScale: weightScale.optional(),
    childWeight: rationalAtLeastNil.optional(),
    claimAheadPortions: z.int().min(0).max(50).optional(),
    swapRingLimit: z
      .union([z.literal(2), z.literal(3)])
      .nullable()
      .optional(),
    swapCreditPortions: z.int().min(0).max(50).optional(),
    claimPolicy: claimPolicy.optional(),
    waitingHours: z.int().min(1).max(336).optional(),
  })
  .meta({ id: 'ChangeCooperative' });

/** An allergen or diet of one diner. `hard`: must not eat; `wish`: would rather not. `subject` is an id that calc knows. */
export const restriction = z
  .object({ subject: z.string().min(1).max(40), strength: z.enum(['hard', 'wish']) })
  .meta({ id: 'Restriction' });

/** One person who eats. Restrictions are null for those who need not know them. */
export const diner = z
  .object({
    id,
    name: z.string(),
    ageBand: z.enum(['adult', 'child']),
    birthYear: z.int().nullable(),
    restrictions: z.array(restriction).nullable(),
    version,
  })
  .meta({ id: 'Diner' });

/** Diner as typed. Restrictions need `consent`, since they are health data. Errors: `invalid-input` for an unknown subject. */
export const saveDiner = z
  .object({
    name: shortText,
    ageBand: z.enum(['adult', 'child']),
    birthYear: z.int().min(1900).max(2100).nullable().default(null),
    restrictions: z.array(restriction).max(30).default([]),
    consent: z.boolean().default(false),
  })
  .meta({ id: 'SaveDiner' });

/** Household with its headcount weight under the cooperative's scale and what it holds. */
export const household = z
  .object({
    id,
    name: z.string(),
    joinedOn: localDate,
    leftOn: localDate.nullable(),
    freezerLitres: rational.nullable(),
    litresUsed: rational,
    ownWeight: rational.nullable(),
    /** days before a best-before from which it wants to be told */
    alertDays: z.int(),
    weight: rational,
    diners: z.array(diner),
    /** allergen and diet ids that the household excludes, without saying whose; null for those who need not know */
    mustNot: z.array(z.string()).nullable(),
    ratherNot: z.array(z.string()).nullable(),
    members: z.array(z.object({ personId: id, displayName: z.string(), roles: z.array(role) })),
    version,
  })
  .meta({ id: 'Household' });

export const households = z.object({ items: z.array(household) }).meta({ id: 'Households' });

/** A household as typed. Errors: `conflict` when the name is taken. */
export const saveHousehold = z
  .object({
    name: shortText,
    freezerLitres: rationalAtLeastNil.nullable().default(null),
    ownWeight: rationalAtLeastNil.nullable().default(null),
    /** stays as it is when left out */
    alertDays: z.int().min(0).max(180).optional(),
  })
  .meta({ id: 'SaveHousehold' });

/**
 * One thing that a household must do next; `kind` and `facts` become words on the screen, `path` is where to go. Facts: plan, buy, settle: round; cook:
 * round, startsAt, kitchen; confirm-share-out: round, batchesOpen; claim, collect: round, containers, portions; answer-swap: from; answer-turn-swap: from, gives, gets (the Mondays of both turns' weeks); answer-ring: households; claim-kept: dish; pay: to,
 * amountMinor; use-first: dish, containers, code.
 */
export const task = z
  .object({
    kind: z.enum([
      'plan',
      'buy',
      'cook',
      'confirm-share-out',
      'claim',
      'collect',
      'answer-swap',
      'answer-turn-swap',
      'answer-ring',
      'claim-kept',
      'pay',
      'use-first',
      'settle',
    ]),
    due: localDate.nullable(),
    late: z.boolean(),
    path: z.string(),
    facts: z.record(z.string(), z.union([z.string(), z.number()])),
  })
  .meta({ id: 'Task' });

/** This week: what is next for my household, and who cooks in the coming weeks. */
export const thisWeek = z
  .object({
    today: localDate,
    round: z.object({ id, number: z.int(), stage: z.string() }).nullable(),
    tasks: z.array(task),
    households: z.array(named),
    weeks: z.array(
      z.object({
        weekOf: localDate,
        /** turns of the rota that no cook day has yet, those of the draft (`planned`, without an id), and turns that nobody has (`open`) */
        turns: z.array(
          z.object({
            id: id.nullable(),
            household: named.nullable(),
            state: z.enum(['planned', 'published', 'swapped', 'covered', 'open', 'not-done']),
            cookDayId: id.nullable(),
            version: z.int(),
          }),
        ),
        /** whether a published rota says that nobody cooks in this week */
        noCooking: z.boolean(),
        cookDays: z.array(
          z.object({
            id,
            date: localDate,
            startsAt: z.string(),
            kitchen: named,
            roundNumber: z.int(),
            turns: z.array(z.object({ household: named, state: z.string() })),
          }),
        ),
      }),
    ),
  })
  .meta({ id: 'ThisWeek' });
