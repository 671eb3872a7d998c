import { z } from 'zod';
import { id, instant, localDate, named, rational, rationalAtLeastNil, version } from './primitives.ts';

/**
 * One named limit of a rota, as far as its kind has them: week (its Monday), household, dish, how many cook. `least`, `most`: at least, at most so many;
 * `kept`: a published turn; `gap`: the household's rest; `away`; `skill`: nobody can make the dish; `pots`: the team's pots are too small.
 */
export const rotaLimit = z
  .object({
    kind: z.enum(['least', 'most', 'kept', 'gap', 'away', 'skill', 'pots']),
    weekOf: localDate,
    household: named.nullable(),
    dish: named.nullable(),
    cooks: z.int().nullable(),
  })
  .meta({ id: 'RotaLimit' });

/** What a household's turns depend on, besides its pots (its kitchen's); the version is the household's. Away weeks by their Mondays. */
export const householdCooking = z
  .object({
    household: named,
    minGapWeeks: z.int(),
    awayWeeks: z.array(localDate),
    dishes: z.array(named),
    version,
  })
  .meta({ id: 'HouseholdCooking' });

/** The same as typed; a day stands for its week. Errors: `invalid-input` for a recipe that is not there. */
export const saveHouseholdCooking = z
  .object({
    minGapWeeks: z.int().min(0).max(52).default(0),
    awayWeeks: z.array(localDate).max(104).default([]),
    recipeIds: z.array(id).max(200).default([]),
  })
  .meta({ id: 'SaveHouseholdCooking' });

/** A published turn. `household` null: nobody yet, or, once its week is over, nobody (`not-done`). */
export const rotaTurn = z
  .object({
    id,
    weekOf: localDate,
    household: named.nullable(),
    state: z.enum(['published', 'swapped', 'covered', 'open', 'not-done']),
    cookDayId: id.nullable(),
    version,
  })
  .meta({ id: 'RotaTurn' });

/** A published turn and how it went from one household to another. `kind`: published, cover, swap, illness. */
export const rotaTurnHistory = z
  .object({
    turn: rotaTurn,
    moves: z.array(
      z.object({ kind: z.string(), from: named.nullable(), to: named.nullable(), by: z.string(), at: instant }),
    ),
  })
  .meta({ id: 'RotaTurnHistory' });

/** A draft: the weeks with their cooks, what each household would have, and what cannot be kept. */
export const rotaDraft = z
  .object({
    id,
    /** of the turns as they were worked out: optimal, bounded, constructive */
    proof: z.string(),
    weeks: z.array(
      z.object({
        weekOf: localDate,
        team: z.int(),
        dishes: z.array(named),
        potLitres: rational,
        turns: z.array(z.object({ household: named, kept: z.boolean(), published: z.boolean() })),
      }),
    ),
    loads: z.array(
      z.object({ household: named, weight: rational, target: rational, given: z.int(), owedAfter: rational }),
    ),
    /** limits that cannot be kept together, though without any one of them the others can; and the cheapest to give up */
    conflict: z.array(rotaLimit),
    repair: z.array(rotaLimit),
    /** limits that the turns do not keep as they are now, and whether somebody has accepted all of them */
    broken: z.array(rotaLimit),
    brokenAccepted: z.boolean(),
    createdAt: instant,
    version,
  })
  .meta({ id: 'RotaDraft' });

/** The rota: a draft if there is one, and published turns from this week on. */
export const rota = z
  .object({ today: localDate, draft: rotaDraft.nullable(), turns: z.array(rotaTurn) })
  .meta({ id: 'Rota' });

/**
 * Which weeks to fill: from the week of a day, so many weeks, `every` 2 for every other one; so many cooks. `plans` for weeks that differ; without dishes
 * the dishes of the round planned for that week count. `kept`: turns of the draft that are to stay. Errors: `invalid-input`.
 */
export const proposeRota = z
  .object({
    from: localDate,
    weeks: z.int().min(1).max(52),
    team: z.int().min(1).max(10),
    every: z.int().min(1).max(8).default(1),
    plans: z
      .array(
        z.object({
          weekOf: localDate,
          team: z.int().min(0).max(10).optional(),
          recipeIds: z.array(id).max(20).optional(),
          potLitres: rationalAtLeastNil.optional(),
        }),
      )
      .max(52)
      .default([]),
    kept: z
      .array(z.object({ weekOf: localDate, householdId: id }))
      .max(520)
      .default([]),
  })
  .meta({ id: 'ProposeRota' });

/** All turns of a draft, as set by hand; `kept` ones stay when it is worked out again. Errors: `invalid-input`. */
export const saveRotaTurns = z
  .object({
    turns: z.array(z.object({ weekOf: localDate, householdId: id, kept: z.boolean().default(false) })).max(520),
  })
  .meta({ id: 'SaveRotaTurns' });

/** A household takes a turn over. `despite`: although a limit is then broken. Errors: `rota-limits`, `turn-moved`. */
export const coverTurn = z.object({ householdId: id, despite: z.boolean().default(false) }).meta({ id: 'CoverTurn' });

/** One turn swapped for another. */
export const turnSwap = z
  .object({
    id,
    from: named,
    to: named,
    gives: rotaTurn,
    gets: rotaTurn,
    state: z.enum(['proposed', 'declined', 'withdrawn', 'lapsed', 'done']),
    words: z.string(),
    openUntil: instant,
    createdAt: instant,
    answeredAt: instant.nullable(),
    version,
  })
  .meta({ id: 'TurnSwap' });

/** A household's swaps of turns, its own turns to come, and those of others that it could ask for. */
export const turnSwaps = z
  .object({
    household: named,
    waitingForMe: z.array(turnSwap),
    waitingForOthers: z.array(turnSwap),
    ended: z.array(turnSwap),
    mine: z.array(rotaTurn),
    others: z.array(rotaTurn),
  })
  .meta({ id: 'TurnSwaps' });

/** A proposal: my household's turn for another's. Errors: `rota-limits`, `turn-moved`. */
export const proposeTurnSwap = z
  .object({ fromHouseholdId: id, givesTurnId: id, getsTurnId: id, words: z.string().trim().max(300).default('') })
  .meta({ id: 'ProposeTurnSwap' });

/** Accept, decline (the other household) or withdraw (the proposer). Errors: `swap-closed`, `rota-limits`, `turn-moved`. */
export const answerTurnSwap = z
  .object({ answer: z.enum(['accept', 'decline', 'withdraw']) })
  .meta({ id: 'AnswerTurnSwap' });
