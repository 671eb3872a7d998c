import { z } from 'zod';
import { id, instant, localDate, named, rational, version } from './primitives.ts';

/** One sealed, labelled container. */
export const container = z
  .object({
    id,
    code: z.string(),
    dish: z.string(),
    recipeId: id,
    roundId: id,
    roundNumber: z.int(),
    portions: z.int(),
    millilitres: z.int().nullable(),
    bestBefore: localDate,
    holder: named.nullable(),
    state: z.enum(['sealed', 'eaten', 'thrown-away', 'given-away', 'lost', 'recalled']),
    /** state of the live claim, or offered in a swap that waits */
    claim: z.enum(['held', 'claimed', 'collected']).nullable(),
    offered: z.boolean(),
    place: z.string(),
    allergens: z.array(z.string()),
    notDeclared: z.array(z.string()),
    version,
  })
  .meta({ id: 'Container' });

/** Why a container ended, as a code that every language has words for. */
export const endCode = z.enum(['thawed', 'too-old', 'tasted', 'damaged', 'recall', 'not-found', 'other']);

/** Portions of a month ("2026-11") or a round by what became of them. */
const became = { eaten: z.int(), thrownAway: z.int(), givenAway: z.int(), lost: z.int() };

/** What a household holds, earliest best-before first, and what has become of the rest. */
export const freezer = z
  .object({
    household: named,
    today: localDate,
    litresUsed: rational,
    litresTotal: rational.nullable(),
    /** days before a best-before from which the household wants to be told, and the last best-before that this is so for today */
    alertDays: z.int(),
    alertUntil: localDate,
    /** `standing`: offered by the household in a swap that waits, asked of it in one, in a ring that waits, or held out for swaps */
    items: z.array(container.extend({ standing: z.enum(['offered', 'asked', 'ring', 'held-out']).nullable() })),
    ended: z.array(
      container.extend({ endedAt: instant, endedCode: endCode.nullable(), endedReason: z.string().nullable() }),
    ),
    portionsEaten: z.int(),
    portionsThrownAway: z.int(),
    /** portions by month, the latest first */
    byMonth: z.array(z.object({ month: z.string(), ...became })),
    /** portions by round, the latest first, and what a portion of the round cost; null where nothing was paid yet */
    byRound: z.array(z.object({ roundNumber: z.int(), costPerPortionMinor: rational.nullable(), ...became })),
    /** what was eaten and thrown away cost, over the portions eaten; null while that is not known */
    costPerEatenPortionMinor: rational.nullable(),
  })
  .meta({ id: 'Freezer' });

/** Ends a container's life: eaten, thrown away, given away or lost, with a reason as a code and in words. `against` common: a coordinator writes off what a household had not got, and it is owed those portions again. Error: `forbidden` for others. */
export const endContainer = z
  .object({
    state: z.enum(['eaten', 'thrown-away', 'given-away', 'lost']),
    reasonCode: endCode.nullable().default(null),
    reason: z.string().trim().max(200).default(''),
    against: z.enum(['holder', 'common']).default('holder'),
  })
  .meta({ id: 'EndContainer' });

/** Where it lies, in the household's own words. */
export const moveContainer = z.object({ place: z.string().trim().max(80) }).meta({ id: 'MoveContainer' });
